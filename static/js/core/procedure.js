/**
 * Procedure: what a question asks for while it is being composed or keyed, and what an answer gives. Pure. The same
 * grammar as core/procedure.py, where each form has its source; one table of rows tests both. The server has the last
 * word: it also knows what its asker misses.
 */

/** A group that one does not have is "". @typedef {{ call: string, groups: readonly string[] }} Part */
/** `to`: index of the part asked for, -1 where nobody can tell; `form` "": all of it.
 * @typedef {{ to: number, form: string, named: string[], groups: number[], fault: string }} Question */

export const FORMS = Object.freeze(['AA', 'AB', 'BN', 'WA', 'WB']);
const REPEAT = ['?', 'RPT'];
const WORDS = new Set([...FORMS, ...REPEAT, 'QSM', 'IMI', 'DE', 'K', 'BT', 'GR', 'R', 'QSL', 'AND', 'TO', 'AGN']);
const OVER = ['K', '('];
/** @type {Record<string, string>} */
const PLACE = { AA: 'all after', AB: 'all before', WA: 'the group after', WB: 'the group before' };

/** IMI is the same sound as the question mark. @param {string} text */
export const wordsOf = (text) => (text.toUpperCase().match(/[?/]|[^\s?/]+/g) ?? []).map((word) => (word === 'IMI' ? '?' : word));

/** @param {string} text @param {readonly number[]} own @param {readonly Part[]} parts @returns {Question} */
export function readQuestion(text, own, parts) {
  const addressed = addressOf(wordsOf(text), own, parts);
  let { body, fault } = addressed;
  const { to } = addressed;
  if (to < 0) return { to, form: '', named: [], groups: [], fault };
  if (OVER.includes(body[body.length - 1])) body = body.slice(0, -1);
  else fault ||= 'A question ends with K: an answer is expected.';
  if (body[0] === 'QSM') body = ['?', ...body.slice(1)];
  const first = body.findIndex((word) => !REPEAT.includes(word));
  const asking = first < 0 ? body.length : first;
  if (asking === 0) fault ||= 'A question begins with ? or RPT.';
  return asked({ to, fault }, body.slice(asking), parts[to].groups, asking > 0);
}

/** @param {string[]} words @param {readonly number[]} own @param {readonly Part[]} parts
 * @returns {{ to: number, body: string[], fault: string }} */
function addressOf(words, own, parts) {
  const calls = parts.map(({ call }) => call);
  const mine = own.map((i) => calls[i]);
  const others = calls.flatMap((_, i) => (own.includes(i) ? [] : [i]));
  const at = words.indexOf('DE');
  let before = at < 0 ? [] : words.slice(0, at);
  let body = at < 0 ? words : words.slice(at + 1);
  let fault = '';
  if (at >= 0) {
    const sender = body[0];
    while (body.length > 0 && body[0] === sender && (calls.includes(sender) || !WORDS.has(sender))) body = body.slice(1);
    if (sender === undefined || !mine.includes(sender)) fault = 'Your own call stands after DE.';
  } else if (calls.includes(words[0])) {
    before = [words[0]];
    body = words.slice(1).filter((word) => !mine.includes(word));
    fault = 'DE stands between the two calls.';
  }
  if (new Set(before).size > 1 || before.some((call) => !calls.includes(call))) {
    return { to: -1, body, fault: `There is no station ${before.join(' ')} in this net.` };
  }
  if (before.length > 0) {
    const to = calls.indexOf(before[0]);
    return own.includes(to) ? { to: -1, body, fault: 'That part is your own.' } : { to, body, fault };
  }
  if (others.length === 1) return { to: others[0], body, fault };
  return { to: -1, body, fault: 'Say whom you ask: their call, DE, your call.' };
}

/** @param {{ to: number, fault: string }} read @param {string[]} rest @param {readonly string[]} groups @param {boolean} asks
 * @returns {Question} */
function asked({ to, fault }, rest, groups, asks) {
  if (rest.length === 0) return { to, fault, form: '', named: [], groups: asks ? groups.map((_, i) => i) : [] };
  const [form, ...given] = rest;
  const named = form === 'BN' && given.length === 3 && ['AND', '/'].includes(given[1]) ? [given[0], given[2]] : given;
  const wrong = (/** @type {string} */ sentence) => ({ to, form, named, groups: [], fault: sentence });
  if (!FORMS.includes(form)) return wrong('After ? comes AA, AB, BN, WA or WB, or K for all of it.');
  if (named.length !== (form === 'BN' ? 2 : 1)) {
    return wrong(`${form} needs ${form === 'BN' ? 'the two groups around the gap' : 'one group beside it'}.`);
  }
  if (isOfHeading({ form, named })) return { to, form, named, groups: [], fault };
  const at = named.map((word) => groups.indexOf(word));
  if (at.includes(-1)) return wrong(`There is no group ${named[at.indexOf(-1)]} in that part.`);
  const places = placesOf(form, at, groups.length);
  if (places.length === 0) return wrong(`Nothing stands ${sideOf(form)} ${named.join(' and ')} in that part.`);
  return { to, form, named, groups: places, fault };
}

/** @param {Pick<Question, 'form' | 'named'>} question */
const isOfHeading = ({ form, named }) => form === 'AB' && named.length === 1 && named[0] === 'BT';

/** @param {Question} question */
const isUnderstood = (question) => question.groups.length > 0 || isOfHeading(question);

/** @param {string} form @param {readonly number[]} at @param {number} count */
function placesOf(form, at, count) {
  const [from, to] = form === 'AA' ? [at[0] + 1, count] : form === 'AB' ? [0, at[0]] : form === 'BN' ? [at[0] + 1, at[1]]
    : form === 'WA' ? [at[0] + 1, Math.min(at[0] + 2, count)] : [Math.max(at[0] - 1, 0), at[0]];
  return Array.from({ length: Math.max(0, to - from) }, (_, i) => from + i);
}

/** @param {string} form */
const sideOf = (form) => (form === 'BN' ? 'between' : form === 'AA' || form === 'WA' ? 'after' : 'before');

/** In plain words; "" when nobody can tell. @param {Question} question */
export function said(question) {
  const { form, named, groups } = question;
  if (!isUnderstood(question)) return '';
  if (isOfHeading(question)) return 'all that stands before the text: its number of groups';
  const many = `${groups.length} ${groups.length === 1 ? 'group' : 'groups'}`;
  if (form === '') return `all of the part: ${many}`;
  return form === 'BN' ? `all between ${named.join(' and ')}: ${many}` : `${PLACE[form]} ${named[0]}: ${many}`;
}

/** @param {string} to @param {string} own @param {string} form  "": not chosen, or all @param {readonly string[]} named */
export const questionText = (to, own, form, named) => [to, 'DE', own, '?', form, ...named, 'K'].filter((word) => word !== '').join(' ');

/** The same identifier, then the groups. @param {string} to @param {string} own @param {Pick<Question, 'form' | 'named'>} question
 * @param {readonly string[]} groups */
export const answerText = (to, own, { form, named }, groups) => [to, 'DE', own, form, ...named, ...groups, 'K'].filter((word) => word !== '').join(' ');

/**
 * How many groups an answer gives, and which of what was asked is in it.
 * @param {string} text @param {Pick<Question, 'form' | 'named' | 'groups'>} question @param {readonly string[]} calls
 * @param {readonly string[]} groups  of the part
 */
export function readAnswer(text, { form, named, groups: wanted }, calls, groups) {
  let words = wordsOf(text);
  while (words.length > 0 && (calls.includes(words[0]) || words[0] === 'DE')) words = words.slice(1);
  if (OVER.includes(words[words.length - 1])) words = words.slice(0, -1);
  const identifier = [form, ...named].filter((word) => word !== '');
  const begins = identifier.every((word, i) => words[i] === word);
  const given = words.slice(begins ? identifier.length : 0);
  const places = given.map((word) => groups.indexOf(word));
  return {
    begins, given: given.length, strange: given.filter((_, i) => places[i] < 0),
    extra: places.filter((place) => place >= 0 && !wanted.includes(place)).length,
    lacking: wanted.filter((place) => !places.includes(place)).length,
  };
}

/**
 * The symbols of International Morse code, in the order of every table: Recommendation ITU-R M.1677-1
 * (10/2009), Annex 1. Pure.
 *
 * A symbol is one sound, written as one *sign*. Where letters are sent as one sound without gaps, `joined` names them:
 * they are shown under an overline. What is `added` is outside the recommendation, for classes that ask for it. A test
 * holds this table to the server's.
 */

/** @typedef {'letter' | 'figure' | 'punctuation' | 'signal'} Kind */
/** @typedef {{ sign: string, elements: string, name: string, joined: string, kind: Kind, added?: true }} SymbolInfo */

/** @type {readonly Readonly<SymbolInfo>[]} */
export const SYMBOLS = Object.freeze([
  { sign: 'A', elements: '.-', name: 'A', joined: '', kind: 'letter' },
  { sign: 'B', elements: '-...', name: 'B', joined: '', kind: 'letter' },
  { sign: 'C', elements: '-.-.', name: 'C', joined: '', kind: 'letter' },
  { sign: 'D', elements: '-..', name: 'D', joined: '', kind: 'letter' },
  { sign: 'E', elements: '.', name: 'E', joined: '', kind: 'letter' },
  { sign: 'F', elements: '..-.', name: 'F', joined: '', kind: 'letter' },
  { sign: 'G', elements: '--.', name: 'G', joined: '', kind: 'letter' },
  { sign: 'H', elements: '....', name: 'H', joined: '', kind: 'letter' },
  { sign: 'I', elements: '..', name: 'I', joined: '', kind: 'letter' },
  { sign: 'J', elements: '.---', name: 'J', joined: '', kind: 'letter' },
  { sign: 'K', elements: '-.-', name: 'K, invitation to transmit', joined: '', kind: 'letter' },
  { sign: 'L', elements: '.-..', name: 'L', joined: '', kind: 'letter' },
  { sign: 'M', elements: '--', name: 'M', joined: '', kind: 'letter' },
  { sign: 'N', elements: '-.', name: 'N', joined: '', kind: 'letter' },
  { sign: 'O', elements: '---', name: 'O', joined: '', kind: 'letter' },
  { sign: 'P', elements: '.--.', name: 'P', joined: '', kind: 'letter' },
  { sign: 'Q', elements: '--.-', name: 'Q', joined: '', kind: 'letter' },
  { sign: 'R', elements: '.-.', name: 'R', joined: '', kind: 'letter' },
  { sign: 'S', elements: '...', name: 'S', joined: '', kind: 'letter' },
  { sign: 'T', elements: '-', name: 'T', joined: '', kind: 'letter' },
  { sign: 'U', elements: '..-', name: 'U', joined: '', kind: 'letter' },
  { sign: 'V', elements: '...-', name: 'V', joined: '', kind: 'letter' },
  { sign: 'W', elements: '.--', name: 'W', joined: '', kind: 'letter' },
  { sign: 'X', elements: '-..-', name: 'X, multiplication sign', joined: '', kind: 'letter' },
  { sign: 'Y', elements: '-.--', name: 'Y', joined: '', kind: 'letter' },
  { sign: 'Z', elements: '--..', name: 'Z', joined: '', kind: 'letter' },
  { sign: 'É', elements: '..-..', name: 'accented E', joined: '', kind: 'letter' },
  { sign: '0', elements: '-----', name: '0', joined: '', kind: 'figure' },
  { sign: '1', elements: '.----', name: '1', joined: '', kind: 'figure' },
  { sign: '2', elements: '..---', name: '2', joined: '', kind: 'figure' },
  { sign: '3', elements: '...--', name: '3', joined: '', kind: 'figure' },
  { sign: '4', elements: '....-', name: '4', joined: '', kind: 'figure' },
  { sign: '5', elements: '.....', name: '5', joined: '', kind: 'figure' },
  { sign: '6', elements: '-....', name: '6', joined: '', kind: 'figure' },
  { sign: '7', elements: '--...', name: '7', joined: '', kind: 'figure' },
  { sign: '8', elements: '---..', name: '8', joined: '', kind: 'figure' },
  { sign: '9', elements: '----.', name: '9', joined: '', kind: 'figure' },
  { sign: '.', elements: '.-.-.-', name: 'full stop', joined: '', kind: 'punctuation' },
  { sign: ',', elements: '--..--', name: 'comma', joined: '', kind: 'punctuation' },
  { sign: ':', elements: '---...', name: 'colon, division sign', joined: '', kind: 'punctuation' },
  { sign: '?', elements: '..--..', name: 'question mark', joined: '', kind: 'punctuation' },
  { sign: '\'', elements: '.----.', name: 'apostrophe, minute sign', joined: '', kind: 'punctuation' },
  { sign: '-', elements: '-....-', name: 'hyphen, dash, minus', joined: '', kind: 'punctuation' },
  { sign: '/', elements: '-..-.', name: 'fraction bar', joined: '', kind: 'punctuation' },
  { sign: '(', elements: '-.--.', name: 'left bracket', joined: 'KN', kind: 'punctuation' },
  { sign: ')', elements: '-.--.-', name: 'right bracket', joined: '', kind: 'punctuation' },
  { sign: '"', elements: '.-..-.', name: 'inverted commas', joined: '', kind: 'punctuation' },
  { sign: '=', elements: '-...-', name: 'double hyphen', joined: 'BT', kind: 'punctuation' },
  { sign: '+', elements: '.-.-.', name: 'cross, plus, end of message', joined: 'AR', kind: 'punctuation' },
  { sign: '@', elements: '.--.-.', name: 'commercial at', joined: '', kind: 'punctuation' },
  { sign: '␆', elements: '...-.', name: 'understood', joined: 'VE', kind: 'signal' },
  { sign: '␘', elements: '........', name: 'error', joined: 'HH', kind: 'signal' },
  { sign: '␖', elements: '.-...', name: 'wait', joined: 'AS', kind: 'signal' },
  { sign: '␄', elements: '...-.-', name: 'end of work', joined: 'SK', kind: 'signal' },
  { sign: '␁', elements: '-.-.-', name: 'starting signal', joined: 'KA', kind: 'signal' },
  { sign: 'Ä', elements: '.-.-', name: 'A with two dots, also AE', joined: '', kind: 'letter', added: true },
  { sign: 'Å', elements: '.--.-', name: 'A with a ring, also A with an accent', joined: '', kind: 'letter', added: true },
  { sign: 'Ñ', elements: '--.--', name: 'N with a tilde', joined: '', kind: 'letter', added: true },
  { sign: 'Ö', elements: '---.', name: 'O with two dots, also O with a bar', joined: '', kind: 'letter', added: true },
  { sign: 'Ü', elements: '..--', name: 'U with two dots', joined: '', kind: 'letter', added: true },
  { sign: '␛', elements: '-...-.-', name: 'break', joined: 'BK', kind: 'signal', added: true },
  { sign: '␇', elements: '...---...', name: 'distress', joined: 'SOS', kind: 'signal', added: true },
]);

const BY_SIGN = new Map(SYMBOLS.map((symbol, index) => [symbol.sign, { symbol, index }]));

/** @param {string} sign */
export function symbolOf(sign) {
  return BY_SIGN.get(sign)?.symbol;
}

/** @param {string} sign @returns {string} "." and "-"; "" for what is not a symbol */
export function elementsOf(sign) {
  return symbolOf(sign)?.elements ?? '';
}

/** The distinct symbols among the signs, in table order. @param {Iterable<string>} signs */
export function inTableOrder(signs) {
  const place = (/** @type {string} */ sign) => BY_SIGN.get(sign)?.index ?? -1;
  return [...new Set(signs)].filter((sign) => BY_SIGN.has(sign)).sort((a, b) => place(a) - place(b));
}

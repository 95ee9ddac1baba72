/** A list of words against the sounds that a class knows. Pure. */

/**
 * @param {string} words  with spaces between them
 * @param {string} known
 * @returns {{ count: number, able: number, unmet: string }}  words, those of known sounds alone, the sounds not known
 */
export function listFacts(words, known) {
  const list = words.split(' ').filter((word) => word !== '');
  const able = list.filter((word) => [...word].every((sign) => known.includes(sign)));
  const unmet = [...new Set(words)].filter((sign) => sign !== ' ' && !known.includes(sign));
  return { count: list.length, able: able.length, unmet: unmet.join('') };
}

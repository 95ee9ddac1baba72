/** What pages and server say to each other, as the functions that pass it on are typed. Pure. */

/** @typedef {import('../wire.js').ToServer} ToServer */
/** @typedef {import('../wire.js').ToBrowser} ToBrowser */

/** Says one thing to the server, and whether it went out.
 * @typedef {<Name extends keyof ToServer>(name: Name, payload: ToServer[Name]) => boolean} Send */

/** A message of the server. @typedef {{ [Name in keyof ToBrowser]: { name: Name, payload: ToBrowser[Name] } }[keyof ToBrowser]} Told */

/** The first word of every connection: who is here.
 * @typedef {{ [Name in 'join' | 'watch']: { name: Name, payload: ToServer[Name] } }['join' | 'watch']} Greeting */

export {};

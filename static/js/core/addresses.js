/** Addresses as people type them. Pure. */

/** What has to be typed: host and port; the code is asked for there. @param {string} url  a room's join address */
export function bareUrl(url) {
  return url.replace(/^http:\/\//, '').replace(/\/r\/[^/]*$/, '');
}

/** Whether no other device can open it. @param {string} url */
export function isThisComputer(url) {
  return /^https?:\/\/(localhost|127\.0\.0\.1|\[::1\])[:/]/.test(url);
}

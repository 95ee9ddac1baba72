/**
 * The exercise at hand, drawn by its own file: static/js/exercises/<kind>.js has a view for each page. What the server
 * shows of it is handed on as it came; no page knows a kind by name.
 */
import { html, useEffect, useState } from '../../../vendor/preact.js';

/** @typedef {import('../../wire.js').ExerciseOut} ExerciseOut */
/** @typedef {'Learner' | 'Console' | 'Wall'} For  the page that it is drawn for */
/** @typedef {(props: { shown: unknown, run: number, send?: import('../../core/messages.js').Send }) => unknown} View */

/** @type {Map<string, Promise<Record<For, View>>>} */
const files = new Map();

/** @param {string} kind */
function fileOf(kind) {
  const known = files.get(kind);
  if (known !== undefined) return known;
  /** @type {Promise<Record<For, View>>} */
  const file = import(`../../exercises/${kind}.js`);
  files.set(kind, file);
  return file;
}

/**
 * @param {object} props
 * @param {ExerciseOut} props.exercise
 * @param {For} props.page
 * @param {import('../../core/messages.js').Send} [props.send]
 */
export function Exercise({ exercise, page, send }) {
  const [view, setView] = useState(/** @type {{ kind: string, View: View } | null} */ (null));
  const { kind, run, shown } = exercise;
  useEffect(() => {
    let wanted = true;
    fileOf(kind).then((file) => wanted && setView({ kind, View: file[page] }), () => files.delete(kind));
    return () => {
      wanted = false;
    };
  }, [kind, page]);
  if (view === null || view.kind !== kind) return html`<main role="status"><h1>One moment …</h1></main>`;
  return html`<${view.View} key=${run} shown=${shown} run=${run} send=${send} />`;
}


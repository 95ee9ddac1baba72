/** How a learner's device stands: its sound, how sure its time is, how much lead it needs. Told when it has changed. */

const FAR_MS = 60_000;
/** Rendering, handing over, a page that stalls for a moment, and a network's ordinary hiccup. */
const LEAD_MARGIN_MS = 300;
const LEAD_STEP_MS = 20;

/**
 * @param {object} wiring
 * @param {import('../core/learner_state.js').LearnerStore} wiring.store
 * @param {import('./socket.js').Socket} wiring.connection
 * @param {ReturnType<typeof import('./audio.js').createAudio>} wiring.audio
 * @param {() => boolean} wiring.isSilent
 * @param {() => number} wiring.calibrationMs
 */
export function createReport({ store, connection, audio, isSilent, calibrationMs }) {
  let reported = '';

  /** @returns {import('../wire.js').ReportDeviceIn['sound']} */
  function soundNow() {
    if (isSilent()) return 'silent';
    const { audio: state } = store.get();
    return state === 'running' ? 'on' : state === 'locked' ? 'off' : 'lost';
  }

  return (anew = false) => {
    if (store.get().seat === null) return;
    const { scatterMs, latencyMs, latenessMs } = audio.status();
    const clock = connection.clockStatus();
    const sound = soundNow();
    const uncertaintyMs = clock.uncertaintyMs + (sound === 'on' ? scatterMs : 0);
    const leadMs = 2 * clock.boundMs + latencyMs + latenessMs + Math.max(0, calibrationMs()) + LEAD_MARGIN_MS;
    const told = {
      sound,
      uncertainty_ms: Math.min(FAR_MS, coarse(uncertaintyMs)),
      lead_ms: Math.min(FAR_MS, LEAD_STEP_MS * Math.ceil(leadMs / LEAD_STEP_MS)),
      visible: !document.hidden,
    };
    if (!anew && JSON.stringify(told) === reported) return;
    if (connection.send('report_device', told)) reported = JSON.stringify(told);
  };
}

/** Whole steps that grow with the value, so that a trembling figure is not told again and again. @param {number} ms */
function coarse(ms) {
  if (!Number.isFinite(ms)) return FAR_MS;
  const step = ms < 10 ? 1 : ms < 50 ? 5 : 25;
  return step * Math.ceil(ms / step);
}

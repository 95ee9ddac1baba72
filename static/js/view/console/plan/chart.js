/** Shares with their intervals, drawn by uPlot; loaded when it is first asked for. Colours are the page's own. */
import { html, useEffect, useLayoutEffect, useRef, useState } from '../../../../vendor/preact.js';

/** @typedef {ReturnType<typeof import('../../../core/progress.js').curveOf>} Curve */

const HEIGHT_PX = 240;
const DARK = matchMedia('(prefers-color-scheme: dark)');
const [LOW, HIGH] = [1, 2]; // the shares are drawn after them, on top

/** @typedef {{ width: number, height: number }} Size */

/** @typedef {import('uplot')} Plot */

/** @type {typeof import('uplot') | null} */
let UPlot = null;

/** For those who will have to draw at once. */
export const loadCharts = async () => {
  UPlot ??= (await import('../../../../vendor/uplot/uplot.js')).default;
};

/**
 * @param {object} props
 * @param {string} props.label
 * @param {Curve} props.curve
 * @param {string[]} props.places
 * @param {boolean} props.joined  a line over time, not places side by side
 * @param {Size} [props.onPaper]  CSS pixels on paper, where a page has no width yet; drawn at twice that, to be sharp
 */
export function Chart({ label, curve, places, joined, onPaper }) {
  const frame = useRef(/** @type {HTMLElement | null} */ (null));
  const drawn = JSON.stringify([curve, places, joined, useTheme()]);
  useLayoutEffect(() => {
    const element = /** @type {HTMLElement} */ (frame.current);
    /** @type {Plot | null} */
    let plot = null;
    let isGone = false;
    const resized = new ResizeObserver(() => plot?.setSize({ width: element.clientWidth, height: HEIGHT_PX }));
    const draw = () => {
      if (isGone || UPlot === null) return;
      const scale = onPaper === undefined ? 1 : 2;
      const { width, height } = onPaper ?? { width: element.clientWidth, height: HEIGHT_PX };
      const size = { width: scale * width, height: scale * height };
      plot = new UPlot(optionsFor(element, places, joined, size, scale), curve, element);
      if (onPaper === undefined) resized.observe(element);
    };
    if (UPlot === null) loadCharts().then(draw);
    else draw();
    return () => {
      isGone = true;
      resized.disconnect();
      plot?.destroy();
    };
  }, [drawn]);
  return html`<div class="chart" data-on=${onPaper === undefined ? undefined : 'paper'} role="img" aria-label=${label} ref=${frame}></div>`;
}

/** Changes when the page's colours do: a canvas does not follow them by itself. */
function useTheme() {
  const [isDark, setDark] = useState(DARK.matches);
  useEffect(() => {
    const look = () => setDark(DARK.matches);
    DARK.addEventListener('change', look);
    return () => DARK.removeEventListener('change', look);
  }, []);
  return isDark;
}

/** @param {HTMLElement} element @param {string[]} places @param {boolean} joined @param {Size} size @param {number} scale @returns {import('uplot').Options} */
function optionsFor(element, places, joined, size, scale) {
  const style = getComputedStyle(element);
  const colour = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
  const [ink, soft, rule, mark, band] = ['--ink', '--soft', '--rule', '--agree-mark', '--agree-1'].map(colour);
  const font = `${style.fontSize} ${style.fontFamily}`;
  const axis = { stroke: soft, font, gap: 5 * scale, ticks: { show: false }, grid: { stroke: rule, width: 1 } };
  const edge = { stroke: 'transparent', width: 0, points: { show: false } };
  return {
    ...size,
    legend: { show: false }, cursor: { show: false },
    scales: { x: { time: false, range: [-0.5, places.length - 0.5] }, y: { range: [0, 100] } },
    axes: [
      { ...axis, size: 32 * scale, grid: { show: false }, splits: () => places.map((_, i) => i), values: () => fitting(places, size.width / scale) },
      { ...axis, size: 48 * scale, splits: () => [0, 25, 50, 75, 100], values: (_, at) => at.map((n) => `${n} %`) },
    ],
    series: [
      {}, edge, edge,
      { stroke: joined ? ink : 'transparent', width: joined ? 2 * scale : 0, points: { show: true, size: 8 * scale, stroke: ink, fill: ink } },
    ],
    bands: joined ? [{ series: [HIGH, LOW], fill: band }] : [],
    hooks: { drawSeries: [(plot, series) => series === HIGH && drawIntervals(plot, mark)] },
  };
}

/** Every so many names, so that they do not run into each other. @param {string[]} places @param {number} widthPx */
function fitting(places, widthPx) {
  const longest = Math.max(...places.map(({ length }) => length));
  const every = Math.max(1, Math.ceil((places.length * (longest * 8 + 8)) / widthPx));
  return places.map((place, i) => (i % every === 0 ? place : ''));
}

/** A stroke from the low end to the high end, before the marks are drawn. @param {Plot} plot @param {string} colour */
function drawIntervals({ ctx, data, valToPos }, colour) {
  ctx.save();
  ctx.strokeStyle = colour;
  ctx.lineWidth = 3 * devicePixelRatio;
  ctx.beginPath();
  for (let i = 0; i < data[0].length; i += 1) {
    const [low, high] = [data[LOW][i], data[HIGH][i]];
    if (typeof low !== 'number' || typeof high !== 'number') continue;
    const x = valToPos(data[0][i], 'x', true);
    ctx.moveTo(x, valToPos(low, 'y', true));
    ctx.lineTo(x, valToPos(high, 'y', true));
  }
  ctx.stroke();
  ctx.restore();
}

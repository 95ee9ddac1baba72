/** The wall: entry, wiring, nothing else. */
import { html, render } from '../vendor/preact.js';
import { createStore } from './core/store.js';
import * as api from './shell/console_api.js';
import { connect } from './shell/socket.js';
import { Stranger } from './view/console/stranger.js';
import { WallPage } from './view/wall.js';

/** @typedef {{ wall: import('./wire.js').WallOut | null, connection: string, place: import('./view/console/desk.js').Place | null, exercise: import('./wire.js').ExerciseOut | null, gone: string }} WallState */

const page = /** @type {HTMLElement} */ (document.getElementById('page'));
const options = new URLSearchParams(location.search);

/** @type {WallState} */
const NOTHING_YET = { wall: null, connection: 'connecting', place: null, exercise: null, gone: '' };

/** @param {WallState} state @param {Partial<WallState>} change @returns {WallState} */
const changed = (state, change) => ({ ...state, ...change });

/** A wall's own link has its key after "#"; it stays there, since a reload needs it again. @param {string} key */
function start(key) {
  const code = options.get('room') ?? '';
  const store = createStore(changed, NOTHING_YET);
  const socket = connect({
    code,
    greeting: () => ({ name: 'watch', payload: { code: key === '' ? code : `${code}.${key}`, view: 'wall' } }),
    onConnection: (connection) => store.dispatch({ connection }),
  });
  socket.on('wall', (wall) => {
    if (store.get().wall === null) findPlace(wall.code);
    store.dispatch({ wall });
  });

  socket.on('exercise', (told) => store.dispatch({ exercise: told.shown === null ? null : told }));
  socket.on('removed', ({ sentence }) => store.dispatch({ wall: null, gone: sentence }));
  socket.on('refused', ({ sentence }) => store.dispatch({ wall: null, gone: sentence })); // it asks for nothing but its room

  /** The first address is the one that the server prints first. @param {string} of */
  const findPlace = (of) => api.places(of, key).then(({ urls }) => store.dispatch({ place: urls[0] ?? null }), () => {
    // The code stands there all the same.
  });
  render(html`<${WallPage} store=${store} roomMs=${() => socket.roomMs()} />`, page);
}

const theme = options.get('theme');
if (theme !== null) document.documentElement.dataset.theme = theme;
const ownKey = options.has('room') ? location.hash.slice(1) : '';
if (ownKey !== '') start(ownKey);
else if (await api.enter()) start('');
else render(html`<${Stranger} />`, page);

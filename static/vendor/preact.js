// What the views draw with: preact, its hooks, and html`...` in place of a compiler for JSX.
import { h } from "./preact/preact.js";
import htm from "./htm/htm.js";

export { Fragment, createContext, h, render } from "./preact/preact.js";
export {
  useCallback,
  useContext,
  useEffect,
  useId,
  useLayoutEffect,
  useMemo,
  useReducer,
  useRef,
  useState,
} from "./preact/hooks.js";

export const html = htm.bind(h);

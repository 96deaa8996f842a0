/** A tone that carries over an engine: two pitches, without a file to load. The page also shows what it says. */

const PITCHES_HZ = [880, 660];
const CHANGE_MS = 400;

/** @type {{context: AudioContext | null, voice: OscillatorNode | null, timer: number}} */
const state = { context: null, voice: null, timer: 0 };

/** Browsers let a page sound only after it was touched once. */
function wake() {
  state.context ??= new AudioContext();
  void state.context.resume();
}
window.addEventListener("pointerdown", wake, { once: true });
window.addEventListener("keydown", wake, { once: true });

export const sound = {
  get on() {
    return state.voice !== null;
  },

  start() {
    if (state.voice || !state.context) return;
    state.voice = state.context.createOscillator();
    state.voice.type = "square";
    state.voice.connect(state.context.destination);
    state.voice.start();
    let turn = 0;
    const change = () => state.voice?.frequency.setValueAtTime(PITCHES_HZ[(turn += 1) % 2], 0);
    change();
    state.timer = window.setInterval(change, CHANGE_MS);
  },

  stop() {
    clearInterval(state.timer);
    state.voice?.stop();
    state.voice = null;
  },
};

"""An output of sound that nothing interrupts, for tests whose point is not the sound itself.

Without a sound card Chromium's output goes by a timer, and loses time for good whenever a busy machine lets
that timer come late. A page then rightly does not count what it did not hear in step, and a test of something
else counts one symbol less. Here the audio's clock is the page's own clock. What the page makes of it, and
whatever else may go wrong, stays as it is. The tests of sound itself keep the real output.
"""

STEADY_OUTPUT = """
window.AudioContext = class extends AudioContext {
  #begunMs = performance.now();
  get currentTime() { return (performance.now() - this.#begunMs) / 1000; }
  get outputLatency() { return 0; }
  getOutputTimestamp() {
    return { contextTime: this.currentTime, performanceTime: performance.now() };
  }
};
"""

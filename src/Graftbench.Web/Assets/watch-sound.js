// Sounds of the heat watch: one tune for each cue, made here, so that they differ by ear across the bench.

// Each note: [start s, length s, pitch Hz, end pitch Hz or 0, wave].
const tunes = {
  "preheat-reached": [[0, 0.18, 523, 0, "sine"], [0.22, 0.18, 659, 0, "sine"]],
  "soak-enough": [[0, 0.16, 523, 0, "sine"], [0.2, 0.16, 659, 0, "sine"], [0.4, 0.28, 784, 0, "sine"]],
  "ramp-too-fast": [[0, 0.5, 400, 1200, "sawtooth"], [0.55, 0.5, 400, 1200, "sawtooth"]],
  "first-joints-melt": [[0, 0.12, 880, 0, "triangle"], [0.16, 0.12, 880, 0, "triangle"]],
  hold: [[0, 0.9, 440, 0, "triangle"]],
  lift: [[0, 0.14, 784, 0, "square"], [0.16, 0.14, 988, 0, "square"], [0.32, 0.14, 1175, 0, "square"], [0.48, 0.5, 1568, 0, "square"]],
  "let-settle": [[0, 0.2, 1175, 0, "sine"], [0.24, 0.2, 988, 0, "sine"], [0.48, 0.5, 784, 0, "sine"]],
  freezing: [[0, 0.3, 587, 0, "sine"], [0.34, 0.3, 494, 0, "sine"], [0.68, 0.3, 587, 0, "sine"]],
  solid: [[0, 0.3, 392, 0, "sine"], [0.34, 0.7, 262, 0, "sine"]],
  "limit-first": [[0, 0.2, 700, 0, "square"], [0.3, 0.2, 520, 0, "square"], [0.6, 0.2, 700, 0, "square"], [0.9, 0.2, 520, 0, "square"]],
  "stop-now": [[0, 0.16, 980, 0, "sawtooth"], [0.2, 0.16, 980, 0, "sawtooth"], [0.4, 0.16, 980, 0, "sawtooth"], [0.6, 0.16, 980, 0, "sawtooth"], [0.8, 0.4, 980, 0, "sawtooth"]],
  "cannot-tell": [[0, 0.35, 330, 220, "triangle"], [0.45, 0.35, 330, 220, "triangle"]],
  lost: [[0, 0.6, 220, 0, "square"], [0.8, 0.6, 196, 0, "square"]],
};

// Said again while they last: what must not be missed.
const repeatMs = { "stop-now": 2500, lift: 4000, "let-settle": 6000, "limit-first": 5000, lost: 8000 };

export const soundNames = Object.keys(tunes);

export class Sounds {
  #context = null;
  #muted = new Set(JSON.parse(localStorage.getItem("gb-watch-muted") ?? "[]"));
  #now = "";
  #timer = 0;

  get on() {
    return this.#context?.state === "running";
  }

  async start() {
    this.#context ??= new AudioContext();
    await this.#context.resume();
    this.play("soak-enough");
  }

  async stop() {
    await this.#context?.suspend();
  }

  isMuted(name) {
    return this.#muted.has(name);
  }

  mute(name, muted) {
    if (muted) {
      this.#muted.add(name);
    } else {
      this.#muted.delete(name);
    }
    localStorage.setItem("gb-watch-muted", JSON.stringify([...this.#muted]));
  }

  // A new cue is played at once, and again as long as it lasts where it must not be missed.
  cue(name) {
    if (name === this.#now) {
      return;
    }
    this.#now = name;
    clearInterval(this.#timer);
    this.#sound(name);
    if (repeatMs[name]) {
      this.#timer = setInterval(() => this.#sound(name), repeatMs[name]);
    }
  }

  #sound(name) {
    if (!this.#muted.has(name)) {
      this.play(name);
    }
  }

  play(name) {
    const notes = tunes[name];
    if (!notes || !this.on) {
      return;
    }
    const from = this.#context.currentTime + 0.02;
    for (const [start, length, pitch, end, wave] of notes) {
      const tone = this.#context.createOscillator();
      const loud = this.#context.createGain();
      tone.type = wave;
      tone.frequency.setValueAtTime(pitch, from + start);
      if (end) {
        tone.frequency.linearRampToValueAtTime(end, from + start + length);
      }
      const peak = wave === "square" || wave === "sawtooth" ? 0.25 : 0.5;
      loud.gain.setValueAtTime(0, from + start);
      loud.gain.linearRampToValueAtTime(peak, from + start + 0.01);
      loud.gain.setValueAtTime(peak, from + start + length - 0.03);
      loud.gain.linearRampToValueAtTime(0, from + start + length);
      tone.connect(loud).connect(this.#context.destination);
      tone.start(from + start);
      tone.stop(from + start + length + 0.02);
    }
  }
}

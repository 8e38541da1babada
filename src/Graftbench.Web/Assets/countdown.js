// <gb-countdown><time datetime="...">in 5 h 12 min</time></gb-countdown>: keeps the words right while the page is open.

const minuteMs = 60_000;

/** A stretch of time in words, to the second in the last hour. */
export function spanText(ms) {
  const seconds = Math.floor(ms / 1000);
  const minutes = Math.floor(seconds / 60);
  const two = (n) => String(n).padStart(2, "0");
  if (minutes < 60) {
    return `${minutes} min ${two(seconds % 60)} s`;
  }
  if (minutes < 48 * 60) {
    return `${Math.floor(minutes / 60)} h ${two(minutes % 60)} min`;
  }
  return `${Math.floor(minutes / 1440)} d ${Math.floor((minutes % 1440) / 60)} h`;
}

class Countdown extends HTMLElement {
  #timer = 0;

  connectedCallback() {
    this.#show();
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
  }

  #show() {
    const time = this.querySelector("time");
    const leftMs = Date.parse(time?.dateTime ?? "") - Date.now();
    if (Number.isNaN(leftMs)) {
      return;
    }
    const text = leftMs >= 0 ? `in ${spanText(leftMs)}` : `${spanText(-leftMs)} ago`;
    if (time.textContent !== text) {
      time.textContent = text;
    }
    const isClose = Math.abs(leftMs) < 60 * minuteMs;
    this.#timer = setTimeout(() => this.#show(), isClose ? 1000 - (Date.now() % 1000) : 5000);
  }
}

customElements.define("gb-countdown", Countdown);

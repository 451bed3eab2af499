// Read aloud by the browser's own speech, with voices of this device alone: nothing leaves it.

export class Voice {
  /** @param {"us" | "uk"} terms */
  constructor(terms) {
    this.speech = typeof speechSynthesis === "undefined" ? null : speechSynthesis;
    this.languages = terms === "uk" ? ["en-GB", "en"] : ["en-US", "en"];
    this.timer = 0;
  }

  /** The voice that reads, or null where this device has none of its own. */
  get voice() {
    const local = this.speech ? this.speech.getVoices().filter((voice) => voice.localService) : [];
    for (const language of this.languages) {
      const found = local.find((voice) => voice.lang.replace("_", "-").startsWith(language));
      if (found) return found;
    }
    return null;
  }

  /** Reads sentences, one after another, with a rest between. False where nothing can read.
   * @param {string[]} sentences @param {number} rest milliseconds */
  read(sentences, rest = 0) {
    const { voice, speech } = this;
    if (!voice || !speech) return false;
    this.stop();
    const next = (/** @type {number} */ i) => {
      if (i >= sentences.length) return;
      const said = new SpeechSynthesisUtterance(sentences[i]);
      said.voice = voice;
      said.lang = voice.lang;
      said.rate = 0.9;
      said.onend = () => { this.timer = window.setTimeout(() => next(i + 1), rest); };
      speech.speak(said);
    };
    next(0);
    return true;
  }

  stop() {
    window.clearTimeout(this.timer);
    if (this.speech) this.speech.cancel();
  }
}

/**
 * One sentence about what was just saved, carried to the screen that is shown next.
 *
 * Not here: what is on record; the sentence is gone once its screen closes.
 */
class Said {
  #words: string | null = null

  say(words: string): void {
    this.#words = words
  }

  /** The sentence, once. */
  take(): string | null {
    const words = this.#words
    this.#words = null
    return words
  }
}

export const said = new Said()

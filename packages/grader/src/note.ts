/** Something a reader of the result should know; the result stands, but is weaker or was reached another way. */
export interface Note {
  /** Stable kebab-case code; branch on this, never on the message. */
  readonly code: string;
  /** One plain sentence. */
  readonly message: string;
}

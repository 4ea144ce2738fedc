/** Whose code a hand-in page carries, and under which licence. */
export interface PageNotice {
  readonly name: string;
  /** Null for a library that stands compiled in a package, whose version names it. */
  readonly version: string | null;
  /** Name of its licence. */
  readonly licence: string;
  /** Where its sources are, as a web address; null for the page's own. */
  readonly source: string | null;
  /** The package that it stands compiled in. */
  readonly within: string | null;
  /** The words that go along with it; empty where another notice has them. */
  readonly text: string;
}

/** Notices by the part of the page whose code they are of. */
export type NoticesByPart = Readonly<Record<"page" | "heic" | "raw", readonly PageNotice[]>>;

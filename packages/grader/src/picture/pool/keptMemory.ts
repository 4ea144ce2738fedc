/**
 * Has glibc serve large pictures from memory that the process keeps: by itself it takes fresh pages from the system for each
 * one, which costs a quarter of the time of decoding it. Read when a process starts; other systems pass it over.
 */
export const KEPT_MEMORY: Readonly<Record<string, string>> = {
  MALLOC_ARENA_MAX: "1",
  MALLOC_MMAP_MAX_: "0",
  MALLOC_TRIM_THRESHOLD_: String(2 ** 32),
};

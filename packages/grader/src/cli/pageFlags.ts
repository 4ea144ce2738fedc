import { type Command, Option } from "commander";
import type { PageOptions } from "../output/page/pageReport.ts";

/** What `--pictures` takes. */
const PICTURES: readonly PageFlags["pictures"][] = ["none", "regions", "all"];

/** Options of commands that write a page to look at. */
export interface PageFlags {
  readonly report?: string;
  readonly pictures: NonNullable<PageOptions["pictures"]>;
  readonly anonymous?: true;
}

/** Adds `--report` and what goes with it. */
export function withPageOptions(command: Command): Command {
  return command
    .option("--report <page.html>", "write a self-contained page to look at")
    .addOption(
      new Option("--pictures <which>", "pictures in the report")
        .choices(PICTURES)
        .default("regions"),
    )
    .option("--anonymous", "codes in place of file names in the report");
}

/**
 * What makes pages. It is loaded by runs that write one: it brings a library of plots, which takes longer to load than all
 * the rest of the command.
 */
export const pageCode = (): Promise<typeof import("../output/page/index.ts")> =>
  import("../output/page/index.ts");

/** The page that the flags ask for. */
export function pageOptions({ pictures, anonymous }: PageFlags): PageOptions {
  return { pictures, anonymous: anonymous ?? false };
}

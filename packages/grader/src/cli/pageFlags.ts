import { type Command, Option } from "commander";
import type { PageOptions } from "../output/page/pageReport.ts";
import { GROUPS } from "./help.ts";

/** Values of `--pictures`. */
const PICTURES: readonly PageFlags["pictures"][] = ["none", "regions", "all"];

/** Values of the options of commands that write a page to look at. */
export interface PageFlags {
  readonly report?: string;
  readonly title?: string;
  readonly pictures: NonNullable<PageOptions["pictures"]>;
  readonly anonymous?: true;
}

/** Adds `--report` and what goes with it. */
export function withPageOptions(command: Command): Command {
  return command
    .addOption(reportOption())
    .addOption(
      new Option("--pictures <which>", "pictures in the report")
        .choices(PICTURES)
        .default("regions")
        .helpGroup(GROUPS.output),
    )
    .addOption(anonymousOption());
}

/** `--report`. */
export function reportOption(): Option {
  return new Option("--report <page.html>", "write a page to look at, all in one file").helpGroup(
    GROUPS.output,
  );
}

/** `--anonymous`. */
export function anonymousOption(): Option {
  return new Option("--anonymous", "show codes instead of file names in the report").helpGroup(
    GROUPS.output,
  );
}

/** `--title`. */
export function titleOption(): Option {
  return new Option("--title <words>", "title of the report").helpGroup(GROUPS.output);
}

/**
 * The code that makes pages. Only runs that write one load it: its plotting library takes longer to load than the rest
 * of the command.
 */
export const pageCode = (): Promise<typeof import("../output/page/index.ts")> =>
  import("../output/page/index.ts");

/** How the flags ask for the page. */
export function pageOptions({ pictures, anonymous }: PageFlags): PageOptions {
  return { pictures, anonymous: anonymous ?? false };
}

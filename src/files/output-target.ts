export interface TargetOptions {
  /** Replace an existing file. */
  readonly force: boolean;
  /** The target may be one of the inputs; a backup is kept. */
  readonly inPlace: boolean;
  /** Paths of all inputs of the run. */
  readonly inputs: readonly string[];
}

/** A place that may be written. */
export interface OutputTarget {
  /** As the person gave it; `-` is standard output. */
  readonly path: string;
  /** Where the bytes go, links followed; `-` for standard output. */
  readonly realPath: string;
  /** Where the replaced input is kept, with `inPlace`. */
  readonly backup?: string;
  /** Mode of the file that is replaced. */
  readonly mode?: number;
}

/**
 * Checks that an output may be written, before any work is done.
 *
 * @throws Refusal naming the path, what stands in the way, and what to do.
 */
export function checkTarget(path: string, options: TargetOptions): OutputTarget {
  throw new Error(`not yet: ${path} ${options.force}`);
}

export { writeAtomically } from './atomic-write.ts';
export { makeFolder } from './make-folder.ts';
export { checkTarget, checkTargets, type TargetOptions } from './output-target.ts';
export { ENRICHED, headOf, isOwnOutput } from './own-output.ts';
export { isFolder, readFolder } from './read-folder.ts';
export { readInput } from './read-input.ts';
export { EXIT_STATUS, watchTemporaryFiles } from './temporary-files.ts';

export { type Write, writeAtomically, writeTogether } from './atomic-write.ts';
export {
  type FileIdentity,
  hashFile,
  identityOf,
  isSameContent,
  isSettled,
  isUnchanged,
} from './identity.ts';
export { isBelow, LAKE_FOLDERS, realPlace } from './link-out.ts';
export { makeFolder } from './make-folder.ts';
export { checkTarget, checkTargets, forceOption, type TargetOptions } from './output-target.ts';
export { readOwnFile, writeOwnFile } from './own-file.ts';
export { inTurn } from './own-lock.ts';
export { ENRICHED, headOfFile, isOwnOutput } from './own-output.ts';
export { isFolder, oddFileOf, oddKindOf, readFolder } from './read-folder.ts';
export { readInput } from './read-input.ts';
export { isRunning } from './stale-files.ts';
export { EXIT_STATUS, watchTemporaryFiles } from './temporary-files.ts';

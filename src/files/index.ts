export { type Write, writeAtomically, writeTogether } from './atomic-write.ts';
export { ENRICHED, headOfFile, isDownslopeOutput } from './downslope-output.ts';
export { withLock } from './file-lock.ts';
export {
  type FileIdentity,
  hashFile,
  identityOf,
  isSameContent,
  isSettled,
  isUnchanged,
} from './identity.ts';
export { isBelow, LAKE_FOLDERS, realPathOf } from './link-out.ts';
export { checkTarget, checkTargets, forceOption, makeFolder, type TargetOptions } from './output-target.ts';
export { isFolder, readFolder, specialFileOf, specialKindOf } from './read-folder.ts';
export { readInput } from './read-input.ts';
export { readStateFile, writeStateFile } from './state-file.ts';
export { EXIT_STATUS, isRunning } from './temporary-files.ts';

export { agreementAt, orderKept } from './agreement.ts';
export { reduceToBlocks } from './blocks.ts';
export { moveAlongCourse } from './course.ts';
export { type Coverage, coverageAt } from './coverage.ts';
export { findCrossings } from './crossings.ts';
export { dayName, dayNumber, hasDay } from './days.ts';
export { findDuplicates } from './duplicates.ts';
export { findBadEchoes } from './echoes.ts';
export { findJumps, findStale } from './fixes.ts';
export { findHeldValues } from './held-values.ts';
export {
  type Levels,
  levelAt,
  levelChange,
  levelsOption,
  levelThen,
  parseReadingTime,
  readLevels,
} from './levels.ts';
export { splitPasses } from './passes.ts';
export { type PassLine, proposePasses } from './proposed-passes.ts';
export { SOUND_SPEED_EQUATIONS, soundSpeed } from './sound-speed.ts';
export { distanceBetween, shortTurn } from './steps.ts';
export { fromBuffers, type IndexBuffers, indexBuffers, indexSurvey } from './survey-index.ts';
export { accountOf } from './ties/account.ts';
export { groupTies } from './ties/candidates.ts';
export { correctionOf, movedByLatency } from './ties/corrections.ts';
export type { TieSearch } from './ties/finding.ts';
export { groupsOf } from './ties/group.ts';
export { nameOf } from './ties/part-name.ts';
export { untiedParts } from './ties/parts.ts';
export { reportAccount } from './ties/report-account.ts';
export { tieSd } from './ties/tie-sd.ts';

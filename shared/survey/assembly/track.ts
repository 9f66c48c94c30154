export { addRows, beginBlocks, closeBlocks, ready } from './blocks';
export { addPieces, beginPieces, meetingCount, meetings, meetPieces, reserve } from './crossings';
export { beginEchoes, edges, equal, findEdges, longRuns, pairs, start } from './echoes';
export { beginFixes, findApart, isHeld } from './fixes';
export { beginPasses, earlierFrom, earlierPass, splitPasses } from './passes';

export { addRows, beginBlocks, closeBlocks, ready } from './blocks';
export { beginEchoes, edges, equal, findEdges, longRuns, pairs, runStart } from './echoes';
export { areOrdinary, beginFixes } from './fixes';
export { beginPasses, earlierFrom, earlierPass, splitPasses } from './passes';

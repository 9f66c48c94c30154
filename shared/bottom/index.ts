export { SURFACE_RADIUS } from './blocked-soundings.ts';
export { type MarkSounding, SCREEN_SD } from './depth-mixture.ts';
export { CELL_SIZE, CubicStencil, GRID_SIZE, HALF, latticeAt, padded, ringMean } from './lattice.ts';
export { estimateUnseen } from './leave-pass-out.ts';
export { localRows } from './local-rows.ts';
export { modelBottom, type PriorKnowledge } from './model-bottom.ts';
export { isWorthAPass, missedFormChance } from './unseen.ts';

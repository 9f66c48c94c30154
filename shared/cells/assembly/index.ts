export { makeMeans } from './means';
export {
  begin,
  cellEasts,
  cellNorths,
  depths,
  firsts,
  lats,
  lons,
  means,
  order,
  passes,
  starts,
  weights,
} from './memory';
export { cellCount, height, makeTable, south } from './table';

export { addRows, beginMeans, endMeans } from './means';
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
export { findSpikes, setMeters } from './spikes';
export {
  cellCount,
  countRows,
  height,
  makeGrid,
  markCells,
  numberCells,
  orderRows,
  placeRows,
  south,
  sumRows,
} from './table';

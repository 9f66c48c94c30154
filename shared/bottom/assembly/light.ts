export { blocks, length, mergeCells, soundings } from './cells';
export { fit } from './fit';

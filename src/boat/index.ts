export { type BoatInput, makeBoatData } from './make-boat-data.ts';
export { renderBoatPage } from './render-boat-page.ts';

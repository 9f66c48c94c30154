export { shapefile } from './shapefile.ts';

export { excel } from './excel.ts';

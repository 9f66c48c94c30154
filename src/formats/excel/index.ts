export { excel, isWorkbook } from './excel.ts';

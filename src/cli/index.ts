export { HELP_CAUTIONS } from './cautions.ts';

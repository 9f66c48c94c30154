export { nmea } from './nmea.ts';

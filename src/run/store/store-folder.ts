/** Name of the folder, next to a log or waypoint file, for records that later runs need. */
export const STORE_FOLDER = '.downslope';

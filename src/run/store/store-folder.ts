/** Name of the folder next to a log or waypoint file that keeps what later runs need. */
export const STORE_FOLDER = '.downslope';

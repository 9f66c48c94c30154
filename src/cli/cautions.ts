/** Cautions at the end of the help texts, except those of `trust` and `unit`. */
export const HELP_CAUTIONS = `Not for navigation: depths are estimates from your own sonar. Boat positions are not checked against
closed zones, dams or traffic unless you supply zones; local law and licensed practice come first.
Wear a life jacket and the engine cut-off lanyard.`;

/** Text at the end of a command's help, unless the command has its own. */
export const HELP_FOOTER = `Lengths (3ft, 0.9m, 50yd), speeds (25mph, 40km/h, 20kn) and times (90s, 20min) take a suffix;
without one, times are in seconds, and with --units ft lengths are in feet, distances in yards and speeds in mph,
with --units m in meters and km/h. Any option of a plugin can be set as --PLUGIN.OPTION;
"downslope plugins NAME" lists them. A YAML file given with --config may set any of these options.
Exit status: 0 done; 1 an input, a log or a waypoint was refused; 2 wrong options, nothing was read; 70 a bug.

${HELP_CAUTIONS}`;

import { meaningOf } from './meaning-of.ts';

/** What a depth next to a word in a note refers to. */
export type Subject =
  /** Fish, or what they were doing at a depth, as in `holding`. */
  | 'fish'
  /** What the angler caught or the fish did. A number next to the word may be a count or an hour. */
  | 'catch'
  /** A feature of the bottom, named as a thing. */
  | 'structure'
  /** An object on the bottom. */
  | 'cover'
  /** What a feature of the bottom does: `drops`, `tops out`. */
  | 'form'
  /** The bottom under the mark. */
  | 'ground'
  | 'tackle'
  | 'boat'
  /** A thing in the water or a property of the water, such as a thermocline, waves or the lake level. */
  | 'place'
  /** Weather, a direction or a label such as `spot`. A number without a unit beside the word is no depth. */
  | 'weather';

const SUBJECTS = meaningOf<Subject>({
  fish: 'fish fishes bass school schools schooled schooling suspend suspended suspending suspends hold holds holding stacked stacking stack arches smallmouth smallmouths largemouth largemouths smallies feeding loaded busting cruising',
  catch:
    'caught catch catching bite bites bit biting got get landed lost missed hooked marked marking hit hits strike strikes keeper keepers limit boated pulled ate eating kicker',
  structure:
    'ledge ledges lip channel channels creek river ditch hole bar hump humps flat point points roadbed road bridge shelf bench edge edges saddle ridge bluff bank wall break breakline drop dropoff swing slope turn bend top crown base foot toe gravel',
  cover:
    'brush brushpile stump stumps tree trees timber laydown log rock rocks rockpile boulder boulders grass weed weeds weedline weedbed cover wood pile dock pilings culvert foundation shell shells hazard shoal wreck reef buoy marker dam ramp',
  form: 'drops tops topping falls rises comes breaks slopes goes starts ends',
  ground: 'bottom depth dpth dpt depths water deep fow',
  tackle:
    'lure lures diver divers crank cranks crankbait crankbaits bait baits plug plugs run runs running ran dive dives diving labeled labelled label line leader rod rods fluoro braid mono test',
  boat: 'boat boats sit sits sitting park parked anchor anchored cast casts casting land lands landing throw throwing threw position trolling idle idled draft',
  place:
    'thermocline thermo vis visibility clarity secchi wave waves swell lake pool level gauge elevation shad baitfish minnows crappie crappies catfish perch bluegill walleye carp',
  weather:
    'wind winds windy gust gusts gusting breeze n s e w ne nw se sw temp temps temperature surface bearing heading course waypoint wp spot number no',
});

/** Word pairs that mean something other than their first word. */
const PAIRS: ReadonlySet<string> = new Set(['drop shot', 'top water', 'spot lock', 'boat ramp']);

/** Returns the subject of a word, if the word has one. @param next The word after `word`. */
export const subjectOf = (word: string, next: string | undefined): Subject | undefined =>
  next !== undefined && PAIRS.has(`${word} ${next}`) ? undefined : SUBJECTS.get(word);

/** Things as shown to an angler, each with its words. Only words that the rules of `thingOf` do not cover. */
const THINGS = meaningOf({
  drop: 'drops falls',
  top: 'tops topping rises comes',
  break: 'breaks',
  slope: 'slopes goes',
  structure: 'starts ends',
  thermocline: 'thermo',
  clarity: 'vis visibility secchi',
  'lake level': 'lake pool level gauge',
  bait: 'bait baits',
  line: 'line',
  leader: 'leader',
  rod: 'rod',
});

/** Returns the thing that a word names: `ledge`, `drop`, `lure`, `boat`. */
export function thingOf(word: string, subject: Subject): string {
  const thing = THINGS.get(word);
  if (thing !== undefined) return thing;
  if (subject === 'tackle') return /^(?:fluoro|braid|mono|test)$/.test(word) ? 'line' : 'lure';
  if (subject === 'boat') return /^(?:cast|land|throw|threw)/.test(word) ? 'cast' : 'boat';
  return subject === 'ground' ? 'bottom' : word;
}

/** Pixels along a piece of a strip that shows signal. */
export const PIECE = 4
/** Colours of the signal classes, comfortable first. */
export const SIGNAL_COLOURS = ['#4884d6', '#e0a132', '#4a1a2e']

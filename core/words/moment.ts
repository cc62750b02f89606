const MOMENT = new Intl.DateTimeFormat('en-GB', { dateStyle: 'medium', timeStyle: 'short' })

/** A moment for people, in the time of this machine. */
export function whenWords(moment: Date | string): string {
  return MOMENT.format(new Date(moment))
}

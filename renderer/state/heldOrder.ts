import { signal } from '@preact/signals'

/** What can be on a list. */
type Hand = 'pointer' | 'keyboard'

/**
 * A finger leaves before its click comes, and so does the keyboard on its way to the next button:
 * the order is held so much longer, milliseconds.
 */
const AFTER_HAND_MS = 300

/** Keeps a list in its order while a hand is on it, so that figures that arrive move nothing under it. */
export class HeldOrder {
  private readonly hands = new Set<Hand>()
  private readonly ids = signal<readonly number[] | null>(null)
  private lifted: ReturnType<typeof setTimeout> | undefined

  /** @param listed numbers of what is listed now, in order */
  constructor(private readonly listed: () => readonly number[]) {}

  lay(hand: Hand): void {
    this.hands.add(hand)
    this.ids.value ??= this.listed()
  }

  lift(hand: Hand): void {
    this.hands.delete(hand)
    clearTimeout(this.lifted)
    this.lifted = setTimeout(() => {
      if (this.hands.size === 0) this.ids.value = null
    }, AFTER_HAND_MS)
  }

  /** Sorts anew even under a hand. */
  release(): void {
    this.ids.value = null
  }

  /** Rows in the order that is held, those not in it last; as they are where none is. */
  of<Row extends { readonly id: number }>(rows: readonly Row[]): readonly Row[] {
    const ids = this.ids.value
    if (!ids) return rows
    const places = new Map(ids.map((id, place) => [id, place]))
    const placeOf = ({ id }: Row) => places.get(id) ?? ids.length
    return [...rows].sort((a, b) => placeOf(a) - placeOf(b))
  }
}

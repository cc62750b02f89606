import { useSignal } from '@preact/signals'
import { useId } from 'preact/hooks'
import {
  COORDINATE_STYLES,
  parseCoordinates,
  type CoordinateStyle,
} from '../../core/geodesy/coordinates'
import type { LatLon } from '../../core/geodesy/earth'
import { formatPosition } from '../state/positions'
import { say, type TextKey } from '../../core/words/say'
import { preferences } from '../state/preferences'

const STYLE_NAMES: Readonly<Record<CoordinateStyle, TextKey>> = {
  decimal: 'positionText.degrees',
  dms: 'positionText.dms',
  utm: 'positionText.utm',
  mgrs: 'positionText.mgrs',
}

interface PositionTextProps {
  /** What the position is of, to a screen reader. */
  readonly of: string
  readonly at: LatLon
  readonly onChange: (to: LatLon) => void
}

/** A position as text, to be copied, typed or pasted in any style, and the style it is shown in. */
export function PositionText({ of, at, onChange }: PositionTextProps) {
  const id = useId()
  const draft = useSignal<string | null>(null)
  const problem = useSignal<string | null>(null)
  const copied = useSignal(false)
  const shown = formatPosition(at)
  const take = (text: string) => {
    const to = parseCoordinates(text, at)
    if (!to) {
      problem.value = say('positionText.giveDegreesDegreesMinutes')
      return
    }
    draft.value = problem.value = null
    if (text !== shown) onChange(to)
  }
  return (
    <div class="field field-wide position-text">
      <span class="position-head">
        <label for={id}>{say('positionText.text', { of })}</label>
        <select
          aria-label={say('positionText.stylePositions')}
          value={preferences.value.coordinateStyle}
          onChange={({ currentTarget }) => {
            const style = COORDINATE_STYLES.find((one) => one === currentTarget.value)
            if (style) preferences.value = { ...preferences.value, coordinateStyle: style }
          }}
        >
          {COORDINATE_STYLES.map((style) => (
            <option key={style} value={style}>
              {say(STYLE_NAMES[style])}
            </option>
          ))}
        </select>
      </span>
      <span class="field-entry">
        <input
          id={id}
          type="text"
          autoComplete="off"
          spellcheck={false}
          value={draft.value ?? shown}
          title={say('positionText.typePastePositionAny')}
          aria-invalid={problem.value !== null}
          aria-describedby={problem.value ? `${id}-problem` : undefined}
          onFocus={(event) => event.currentTarget.select()}
          onInput={(event) => (draft.value = event.currentTarget.value)}
          onBlur={() => draft.value !== null && take(draft.value)}
          onKeyDown={(event) => {
            if (event.key === 'Enter') take(event.currentTarget.value)
            else if (event.key === 'Escape' && draft.value !== null) {
              draft.value = problem.value = null
            } else return
            event.preventDefault()
          }}
        />
        <button
          type="button"
          aria-label={say('positionText.copy', { of })}
          onClick={() =>
            void navigator.clipboard.writeText(shown).then(
              () => {
                copied.value = true
                setTimeout(() => (copied.value = false), 1500)
              },
              () => (problem.value = say('positionText.cannotCopy')),
            )
          }
        >
          {copied.value ? say('positionText.copied') : say('positionText.copyButton')}
        </button>
      </span>
      {problem.value && (
        <p class="field-problem" id={`${id}-problem`} role="alert">
          {problem.value}
        </p>
      )}
    </div>
  )
}

import { useSignal } from '@preact/signals'
import { say } from '../../core/words/say'
import { plainNumber } from '../../core/words/units'
import { useId, useRef } from 'preact/hooks'

interface NumberFieldProps {
  readonly label: string
  /** True where what stands beside the field says enough for those who see it. */
  readonly isLabelHidden?: boolean
  /** Unit shown behind the field; empty for a bare number. */
  readonly unit: string
  readonly value: number
  readonly digits: number
  readonly min: number
  readonly max: number
  /** One sentence on what the value means. */
  readonly help?: string
  /** How much the arrow keys change. */
  readonly step: number
  readonly onChange: (value: number) => void
}

/**
 * A number the pilot types. It is taken over on Enter or on leaving the field; one that makes
 * no sense is said so beside the field and the old value stays.
 */
export function NumberField(props: NumberFieldProps) {
  const { label, isLabelHidden, unit, value, digits, min, max, help, step, onChange } = props
  const id = useId()
  const draft = useSignal<string | null>(null)
  const problem = useSignal<string | null>(null)
  const rounded = Number(value.toFixed(digits))
  const shown = plainNumber(rounded)
  // A value changed elsewhere (a drag, an undo, another unit) takes the place of a draft.
  const lastShown = useRef(shown)
  if (lastShown.current !== shown) {
    lastShown.current = shown
    draft.value = problem.value = null
  }

  const take = (text: string) => {
    const number = text.trim() === '' ? NaN : Number(text.trim().replace(',', '.'))
    if (!Number.isFinite(number) || number < min || number > max) {
      problem.value = say('numberField.giveNumber', {
        min: plainNumber(min),
        max: plainNumber(max),
        unit: unit ? ` ${unit}` : '',
      })
      return
    }
    problem.value = null
    draft.value = null
    if (number !== rounded) onChange(number)
  }
  const nudge = (by: number) => {
    const next = Math.min(max, Math.max(min, Number((rounded + by).toFixed(digits))))
    take(String(next))
  }
  return (
    <div class="field">
      <label for={id} class={isLabelHidden ? 'only-heard' : undefined}>
        {label}
      </label>
      <span class="field-entry">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          value={draft.value ?? shown}
          title={help}
          aria-invalid={problem.value !== null}
          aria-describedby={problem.value ? `${id}-problem` : undefined}
          onInput={(event) => (draft.value = event.currentTarget.value)}
          onBlur={(event) => draft.value !== null && take(event.currentTarget.value)}
          onKeyDown={(event) => {
            if (event.key === 'Enter') take(event.currentTarget.value)
            // Where there is nothing to take back, Escape is for what is around the field.
            else if (event.key === 'Escape' && (draft.value ?? problem.value) !== null) {
              draft.value = problem.value = null
            } else if (event.key === 'ArrowUp') nudge(step)
            else if (event.key === 'ArrowDown') nudge(-step)
            else return
            event.preventDefault()
          }}
        />
        {unit && <span class="unit">{unit}</span>}
      </span>
      {problem.value && (
        <p class="field-problem" id={`${id}-problem`} role="alert">
          {problem.value}
        </p>
      )}
    </div>
  )
}

import { say } from '../../core/words/say'
import { work } from '../state/work'

/** Progress of longer work, with a way to stop it. */
export function WorkDisplay() {
  if (!work.value) return null
  const { label, share, cancel } = work.value
  return (
    <div class="work" role="status">
      <span class="work-label">{label}</span>
      <progress max={1} value={share ?? undefined} aria-label={label} />
      {cancel && (
        <button type="button" onClick={cancel}>
          {say('workDisplay.stop')}
        </button>
      )}
    </div>
  )
}

import { foundDrafts, putAside } from '../state/drafts'
import { continueDraft } from '../state/planFile'
import { whenWords } from '../../core/words/moment'

/** Offers plans whose changes were in no file when Colsight ended. */
export function DraftOffer() {
  const [draft, ...more] = foundDrafts.value
  if (!draft) return null
  return (
    <div class="draft-offer" role="region" aria-label="Plan that was not saved">
      <p>
        <strong>{draft.name}</strong> had changes in no file when Colsight last ended (
        {whenWords(draft.at)}
        ).{more.length > 0 && ` ${more.length} more after this one.`}
      </p>
      <div class="row">
        <button type="button" class="primary" onClick={() => void continueDraft(draft)}>
          Go on with it
        </button>
        <button type="button" onClick={() => void putAside(draft)}>
          Put aside
        </button>
      </div>
    </div>
  )
}

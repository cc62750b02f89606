import { foundDrafts, putAside } from '../state/drafts'
import { continueDraft } from '../state/planFile'
import { say } from '../../core/words/say'
import { whenWords } from '../../core/words/moment'

/** Offers plans whose changes were in no file when Colsight ended. */
export function DraftOffer() {
  const [draft, ...more] = foundDrafts.value
  if (!draft) return null
  return (
    <div class="draft-offer" role="region" aria-label={say('draftOffer.planNotSaved')}>
      <p>
        <strong>{draft.name}</strong>{' '}
        {say('draftOffer.hadChangesNoFile', { at: whenWords(draft.at) })}
        {more.length > 0 && say('draftOffer.moreAfterOne', { more: more.length })}
      </p>
      <div class="row">
        <button type="button" class="primary" onClick={() => void continueDraft(draft)}>
          {say('draftOffer.go')}
        </button>
        <button type="button" onClick={() => void putAside(draft)}>
          {say('draftOffer.putAside')}
        </button>
      </div>
    </div>
  )
}

import { useId } from 'preact/hooks'
import { tileSource } from '../../core/tileAddress'
import { onlineTilesOn, preferences, tileSourceAllowed } from '../state/preferences'
import { notice } from '../state/work'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** Online map tiles over the built-in relief: off until turned on, loaded only as looked at. */
export function BaseMapSection() {
  const { tileTemplate, tileAttribution } = preferences.value
  const [templateId, attributionId] = [useId(), useId()]
  const change = (part: { tileTemplate?: string; tileAttribution?: string }) =>
    (preferences.value = { ...preferences.value, ...part })
  const setTemplate = (template: string) => {
    if (tileSource(template) !== null) {
      notice.value = null
      change({ tileTemplate: template })
    } else {
      notice.value = say('baseMap.noTileAddressMust', { template })
    }
  }
  return (
    <Section title={say('baseMap.baseMap')}>
      <p class="section-note">{say('baseMap.reliefMadeTerrainNeeds')}</p>
      <label class="check">
        <input
          type="checkbox"
          checked={onlineTilesOn.value}
          onChange={(event) => (onlineTilesOn.value = event.currentTarget.checked)}
        />
        {say('baseMap.onlineMapTilesTop')}
      </label>
      {tileSource(tileTemplate) !== tileSourceAllowed() && (
        <p class="caution-note">
          {say('baseMap.anotherTileServerLet')}{' '}
          <button type="button" class="link" onClick={() => location.reload()}>
            {say('baseMap.loadNow')}
          </button>
        </p>
      )}
      <details>
        <summary>{say('baseMap.tileServer')}</summary>
        <div class="field field-wide">
          <label for={templateId}>{say('baseMap.address')}</label>
          <input
            id={templateId}
            type="text"
            spellcheck={false}
            value={tileTemplate}
            onChange={(event) => setTemplate(event.currentTarget.value.trim())}
          />
        </div>
        <div class="field field-wide">
          <label for={attributionId}>{say('baseMap.attributionLicenceAsks')}</label>
          <input
            id={attributionId}
            type="text"
            value={tileAttribution}
            onChange={(event) => change({ tileAttribution: event.currentTarget.value })}
          />
        </div>
      </details>
    </Section>
  )
}

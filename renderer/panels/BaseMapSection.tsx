import { useId } from 'preact/hooks'
import { tileSource } from '../../core/tileAddress'
import { onlineTilesOn, preferences, tileSourceAllowed } from '../state/preferences'
import { notice } from '../state/work'
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
      notice.value = `"${template}" is no tile address; it must begin with https:// (or http:// on this machine) and hold {z}, {x} and {y}.`
    }
  }
  return (
    <Section title="Base map">
      <p class="section-note">The relief is made from the terrain and needs no network.</p>
      <label class="check">
        <input
          type="checkbox"
          checked={onlineTilesOn.value}
          onChange={(event) => (onlineTilesOn.value = event.currentTarget.checked)}
        />
        Online map tiles on top
      </label>
      {tileSource(tileTemplate) !== tileSourceAllowed() && (
        <p class="caution-note">
          Another tile server is let in when the window is loaded anew; the plan stays.{' '}
          <button type="button" class="link" onClick={() => location.reload()}>
            Load it now
          </button>
        </p>
      )}
      <details>
        <summary>Tile server</summary>
        <div class="field field-wide">
          <label for={templateId}>Address with {'{z} {x} {y}'}</label>
          <input
            id={templateId}
            type="text"
            spellcheck={false}
            value={tileTemplate}
            onChange={(event) => setTemplate(event.currentTarget.value.trim())}
          />
        </div>
        <div class="field field-wide">
          <label for={attributionId}>Attribution its licence asks for</label>
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

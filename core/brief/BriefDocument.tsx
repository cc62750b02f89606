import { LandingAreas, Places } from './GroundSections'
import { Key } from './KeyFigures'
import { MapDrawing } from './MapDrawing'
import { Radio, Budgets } from './RadioSections'
import { Legs, Corridor } from './RouteSections'
import { styleOf } from './briefStyle'
import type { FieldBrief } from './fieldBrief'
import { language } from '../words/language'
import { say } from '../words/say'
import { spokenName } from '../words/typicalNames'
import { Section, type PartProps } from './parts'

/** A field brief as a whole document that needs nothing beside it: for paper and for the phone. */
export function BriefDocument({ brief, words }: PartProps) {
  const { reckoning } = brief
  return (
    <html lang={language.value}>
      <head>
        <meta charset="utf-8" />
        {/* Whatever a name in the plan says, nothing runs and nothing is fetched. */}
        <meta
          http-equiv="Content-Security-Policy"
          content="default-src 'none'; img-src data:; style-src 'unsafe-inline'"
        />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>{words.title}</title>
        {/* The style sheet is this program's own. */}
        <style dangerouslySetInnerHTML={{ __html: styleOf(words.paper) }} />
      </head>
      <body>
        <header>
          <h1>{words.title}</h1>
          <p>
            {say('briefDocument.fieldBriefSite', {
              madeAt: words.madeAt,
              name: brief.site.terrain.name,
            })}
          </p>
        </header>
        <Key brief={brief} words={words} />
        <Section title={say('briefDocument.map')}>
          <MapDrawing brief={brief} words={words} />
          <p class="cautions">{say('briefDocument.terrainModelsMissTrees')}</p>
        </Section>
        {typeof reckoning === 'string' && (
          <Section title={say('common.route')}>
            <p class="alarm">{reckoning}</p>
          </Section>
        )}
        {reckoning && typeof reckoning !== 'string' && (
          <>
            <Legs brief={brief} words={words} found={reckoning} />
            <Corridor brief={brief} words={words} found={reckoning} />
          </>
        )}
        <Radio brief={brief} words={words} />
        <Budgets brief={brief} words={words} />
        <LandingAreas brief={brief} words={words} />
        <Places brief={brief} words={words} />
        <Checks brief={brief} />
      </body>
    </html>
  )
}

/** What to tick off, the pilot's notes, and room for more. */
function Checks({ brief: { plan } }: { brief: FieldBrief }) {
  const { checklist, notes } = plan.brief
  return (
    <>
      {checklist.length > 0 && (
        <Section title={say('briefDocument.beforeFlight')} class="checks">
          <ul>
            {checklist.map(spokenName).map((item, i) => (
              <li key={i}>
                <label>
                  <input type="checkbox" /> <span>{item}</span>
                </label>
              </li>
            ))}
          </ul>
        </Section>
      )}
      <Section title={say('common.notes')} class="notes">
        {notes.split('\n').map((line, i) => line.trim() && <p key={i}>{line}</p>)}
        <div class="blank">
          {Array.from({ length: 7 }, (_, i) => (
            <div key={i} />
          ))}
        </div>
      </Section>
    </>
  )
}

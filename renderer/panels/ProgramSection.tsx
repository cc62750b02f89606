import { LANGUAGES, toLanguage } from '../../core/words/language'
import { say } from '../../core/words/say'
import { beginAgain, firstSteps } from '../state/firstSteps'
import { aboutIsOpen, helpAt } from '../state/help'
import { preferences } from '../state/preferences'
import { Section } from './Section'

/** The program itself: its language, its help and what it is made of. */
export function ProgramSection() {
  return (
    <Section title={say('program.thisProgram')}>
      <div class="field field-wide first">
        <label for="language">{say('program.language')}</label>
        <select
          id="language"
          value={preferences.value.language ?? ''}
          onChange={({ currentTarget }) =>
            (preferences.value = {
              ...preferences.value,
              language: toLanguage(currentTarget.value),
            })
          }
        >
          <option value="">{say('program.systemLanguage')}</option>
          {Object.entries(LANGUAGES).map(([tag, name]) => (
            <option key={tag} value={tag} lang={tag}>
              {name}
            </option>
          ))}
        </select>
      </div>
      <div class="row">
        <button type="button" onClick={() => (helpAt.value = '')}>
          {say('help.help')}
        </button>
        {firstSteps.value.isAway && (
          <button type="button" onClick={beginAgain}>
            {say('side.firstStepsOnceMore')}
          </button>
        )}
        <button type="button" onClick={() => (aboutIsOpen.value = true)}>
          {say('program.about')}
        </button>
      </div>
    </Section>
  )
}

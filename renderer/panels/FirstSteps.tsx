import {
  askedSection,
  beginAgain,
  FIRST_STEPS,
  firstSteps,
  nextStep,
  putAway,
} from '../state/firstSteps'

/** The whole job once, step by step; it follows what is done and can be put away. */
export function FirstSteps() {
  const { done, isAway } = firstSteps.value
  if (isAway) return null
  const next = nextStep.value
  return (
    <section class="first-steps" aria-labelledby="first-steps-title">
      <div class="first-steps-head">
        <h2 id="first-steps-title">First steps</h2>
        <span>
          {done.length} of {FIRST_STEPS.length}
        </span>
      </div>
      <ol>
        {FIRST_STEPS.map(({ id, title, words, section }) => {
          const isDone = done.includes(id)
          const isNext = id === next?.id
          return (
            <li key={id} class={isDone ? 'done' : ''} aria-current={isNext ? 'step' : undefined}>
              <span class="step-mark" aria-hidden="true">
                {isDone ? '✓' : ''}
              </span>
              <div>
                <strong>
                  {title}
                  {isDone && <span class="visually-hidden">, done</span>}
                </strong>
                {isNext && (
                  <>
                    <p>{words}</p>
                    <button type="button" onClick={() => (askedSection.value = { title: section })}>
                      Show me where
                    </button>
                  </>
                )}
              </div>
            </li>
          )
        })}
      </ol>
      {!next && <p>That was the whole job. Open your own terrain, and fly with care.</p>}
      <div class="row">
        {done.length > 0 && (
          <button type="button" onClick={beginAgain}>
            Begin again
          </button>
        )}
        <button type="button" onClick={putAway}>
          {next ? 'Not now' : 'Put away'}
        </button>
      </div>
    </section>
  )
}

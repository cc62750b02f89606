import { canFinish, cancelDrawing, drawing, finishDrawing, removeLastPoint } from '../state/drawing'

/** What to do while a shape is drawn, over the map. */
export function DrawingBar() {
  const now = drawing.value
  if (!now) return null
  const { what, shape, points } = now
  const count = points.length
  return (
    <div class="drawing-bar" role="status">
      <span>
        <strong>{what}:</strong>{' '}
        {shape === 'point'
          ? 'click its place on the map'
          : count === 0
            ? 'click its first point on the map'
            : `${count} ${count === 1 ? 'point' : 'points'}; click the last one again to finish`}
        <span class="drawing-keys"> (or Enter for the middle of the map)</span>
      </span>
      {shape !== 'point' && (
        <>
          <button type="button" disabled={!canFinish(now)} onClick={finishDrawing}>
            Done
          </button>
          <button type="button" disabled={count === 0} onClick={removeLastPoint}>
            Take back
          </button>
        </>
      )}
      <button type="button" onClick={cancelDrawing}>
        Cancel
      </button>
    </div>
  )
}

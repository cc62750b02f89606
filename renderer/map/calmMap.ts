import L from 'leaflet'

const calm = matchMedia('(prefers-reduced-motion: reduce)')

/** A map that goes over to a place at once where the system asks for less motion. */
export class CalmMap extends L.Map {
  constructor(container: HTMLElement, options: L.MapOptions) {
    const isMoving = !calm.matches
    super(container, {
      inertia: isMoving,
      fadeAnimation: isMoving,
      zoomAnimation: isMoving,
      markerZoomAnimation: isMoving,
      ...options,
    })
  }

  override panBy(offset: L.PointExpression, options?: L.PanOptions): this {
    return super.panBy(offset, calm.matches ? { ...options, animate: false } : options)
  }
}

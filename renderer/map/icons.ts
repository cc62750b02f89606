import L from 'leaflet'

const svg = (size: number, body: string) =>
  `<svg viewBox="0 0 ${size} ${size}" width="${size}" height="${size}" aria-hidden="true">${body}</svg>`

/** Where the pilot stands: a mast on a disc. */
export const launchIcon = L.divIcon({
  className: 'marker marker-launch',
  iconSize: [34, 34],
  iconAnchor: [17, 17],
  html: svg(
    34,
    `<circle cx="17" cy="17" r="13" fill="#d6336c" stroke="#fff" stroke-width="3"/>
     <path d="M17 24V13M12.5 24h9M13 10.5a5.4 5.4 0 0 1 8 0" fill="none" stroke="#fff" stroke-width="2.2" stroke-linecap="round"/>`,
  ),
})

/** The end of the path looked at: an open square. */
export const targetIcon = L.divIcon({
  className: 'marker marker-target',
  iconSize: [28, 28],
  iconAnchor: [14, 14],
  html: svg(
    28,
    `<rect x="6" y="6" width="16" height="16" rx="3" fill="#fff" stroke="#22252b" stroke-width="3"/>
     <circle cx="14" cy="14" r="3" fill="#22252b"/>`,
  ),
})

/** The place on the path that the profile's cursor is at. */
export const aircraftIcon = L.divIcon({
  className: 'marker marker-cursor',
  iconSize: [18, 18],
  iconAnchor: [9, 9],
  html: svg(18, `<circle cx="9" cy="9" r="6" fill="#ffd43b" stroke="#22252b" stroke-width="2.5"/>`),
})

/** Where walking begins: a boot's print on a tag. */
export const roadHeadIcon = L.divIcon({
  className: 'marker',
  iconSize: [26, 26],
  iconAnchor: [13, 13],
  html: svg(
    26,
    `<rect x="3" y="3" width="20" height="20" rx="6" fill="#6b3f12" stroke="#fff" stroke-width="2.5"/>
     <ellipse cx="13" cy="10.5" rx="3.2" ry="4.2" fill="#fff"/><ellipse cx="13" cy="18.2" rx="2.5" ry="2.2" fill="#fff"/>`,
  ),
})

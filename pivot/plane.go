// The local plane: metres east and north of the pivot point, true in distance
// and azimuth on the WGS 84 ellipsoid.

package pivot

import (
	"math"

	"github.com/paulmach/orb"
)

// WGS 84, defining parameters: NIMA TR8350.2, 3rd ed., Table 3.1 (from memory;
// testdata/geodesic_*.csv, made by a library with its own, agree to 1e-8 m at 400 m).
const (
	wgs84A  = 6378137.0             // semi-major axis, m
	wgs84F  = 1 / 298.257223563     // flattening
	wgs84E2 = wgs84F * (2 - wgs84F) // first eccentricity squared
	deg     = math.Pi / 180         // radians in a degree
	planeM  = 1e-8                  // the inverse is iterated until it is this near, m
	planeIt = 12                    // and at most so often; 4 is enough within 20 km
)

// Plane is the azimuthal equidistant plane of the WGS 84 ellipsoid about one
// point. x is metres east, y metres north. The azimuth of a point from the
// centre is that of the normal section and its distance is that of the arc whose
// chord joins the two; against the geodesic the position is within 2e-8 m at
// 1 km and 2e-6 m at 5 km. Areas come out too large by d²/(6R²) at distance d from the centre: 4e-9
// at 1 km, 1.1e-7 at 5 km. Straight lines in the plane are geodesics to
// the same order; edges of zones are straight in longitude and latitude instead,
// as RFC 7946 (3.1.1) has it: see edgeSagM. Use within 100 km of the centre and 85 degrees of the equator.
// The zero Plane is not usable: see [NewPlane].
type Plane struct {
	center     orb.Point
	sin, cos   float64 // of the centre's latitude
	axis, z    float64 // the centre's distance from the earth's axis and from the equatorial plane, m
	invM, invN float64 // curvature of the meridian and of the prime vertical, 1/m
}

// NewPlane is the plane about a point given as longitude and latitude in degrees.
func NewPlane(center orb.Point) Plane {
	p := Plane{center: center}
	p.sin, p.cos = math.Sincos(center.Lat() * deg)
	m, n := curvature(p.sin)
	p.invM, p.invN = 1/m, 1/n
	p.axis, p.z = n*p.cos, n*(1-wgs84E2)*p.sin
	return p
}

// curvature gives the radii of curvature of the meridian and of the prime
// vertical, m, at a geodetic latitude with the given sine.
func curvature(sinLat float64) (m, n float64) {
	w := 1 - wgs84E2*sinLat*sinLat
	n = wgs84A / math.Sqrt(w)
	return n * (1 - wgs84E2) / w, n
}

// ToPlane turns longitude and latitude in degrees into metres east and north of
// the centre. NaN gives NaN. Longitudes a whole turn apart are the same, so
// ground across the 180th meridian needs no care.
func (p Plane) ToPlane(q orb.Point) orb.Point {
	sin, cos := math.Sincos(q.Lat() * deg)
	sinL, cosL := math.Sincos((q.Lon() - p.center.Lon()) * deg)
	_, n := curvature(sin)
	// Earth-centred coordinates with the centre on the first meridian, less those of the centre.
	dx, east, dz := n*cos*cosL-p.axis, n*cos*sinL, n*(1-wgs84E2)*sin-p.z
	north, up := p.cos*dz-p.sin*dx, p.cos*dx+p.sin*dz
	flat := math.Hypot(east, north)
	if flat == 0 {
		return orb.Point{}
	}
	k := (north*north*p.invM + east*east*p.invN) / (flat * flat) // Euler: curvature along the azimuth
	half := min(1, math.Hypot(flat, up)*k/2)
	s := 2 * math.Asin(half) / k // arc over the chord
	return orb.Point{east * s / flat, north * s / flat}
}

// ToLonLat is the inverse of ToPlane: longitude (-180 <= lon < 180, unless it is
// the centre's own) and latitude in degrees.
func (p Plane) ToLonLat(q orb.Point) orb.Point {
	lon, lat := p.center.Lon(), p.center.Lat()
	for range planeIt {
		at := p.ToPlane(orb.Point{lon, lat})
		dx, dy := q[0]-at[0], q[1]-at[1]
		sin, cos := math.Sincos(lat * deg)
		m, n := curvature(sin)
		lon += dx / (n * cos) / deg
		lat += dy / m / deg
		if math.Abs(dx) < planeM && math.Abs(dy) < planeM {
			break
		}
	}
	if lon < -180 || lon > 180 {
		lon = math.Mod(lon+540, 360) - 180
	}
	return orb.Point{lon, lat}
}

// edgeSagM is how far an edge of a zone may stray from what it is on the map: a
// line straight in longitude and latitude (RFC 7946, 3.1.1). On the ground that is
// a curve: a side of 1 mile along a parallel at 41 degrees bows by 4.5 cm, enough
// to overlap by 50 m² a neighbour who has a corner half way along it. So long
// edges are cut into pieces.
const edgeSagM = 0.001

// maxPieces is the most pieces of one edge; it is reached at about 50 km.
const maxPieces = 256

// appendEdge appends the edge from a to b (longitude and latitude) to a ring of
// the plane, without its start.
func (p Plane) appendEdge(r orb.Ring, a, b orb.Point) orb.Ring {
	dLon := math.Remainder(b.Lon()-a.Lon(), 360) // the short way, across the 180th meridian too
	dLat := b.Lat() - a.Lat()
	// With t from 0 to 1 along the edge the second derivative of the position is
	// R dλ sin φ (-2 dφ, dλ cos φ), east and north, and the bow an eighth of it.
	sin, cos := math.Sincos((a.Lat() + b.Lat()) / 2 * deg)
	bow := wgs84A / 8 * math.Abs(dLon*deg*sin) * math.Hypot(2*dLat*deg, dLon*deg*cos)
	n := min(math.Ceil(math.Sqrt(bow/edgeSagM)), maxPieces)
	for i := 1.0; i < n; i++ {
		r = append(r, p.ToPlane(orb.Point{a.Lon() + dLon*i/n, a.Lat() + dLat*i/n}))
	}
	return append(r, p.ToPlane(b))
}

// azimuthOf is the azimuth of a point of the plane; north for the centre itself.
func azimuthOf(p orb.Point) Azimuth {
	return Azimuth(math.Atan2(p[0], p[1]) / deg).Norm()
}

// unit is the point of the plane one metre out along an azimuth.
func unit(a Azimuth) orb.Point {
	sin, cos := math.Sincos(a.Rad())
	return orb.Point{sin, cos}
}

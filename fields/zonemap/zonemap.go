// Package zonemap reads zones.geojson, the map of a farm's zones: an RFC 7946
// FeatureCollection of Polygons and MultiPolygons, every one checked as a shape,
// against its neighbours and against the circle of its field's pivot.
package zonemap

import (
	"bytes"
	"encoding/json"
	"math"
	"slices"

	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"

	"sandwick/et/input"
	"sandwick/pivot"
)

// File is the name of the map in a farm folder.
const File = "zones.geojson"

// Zone is one polygon with one soil and one water-table depth.
type Zone struct {
	Name, Field, Soil string
	TableM            float64    // depth of the water table below ground on TableDate; +Inf: out of reach
	TableDate         civil.Date // zero: not stated
	Pipe              string     // observation well that the water table follows; empty: none
	Damping           float64    // share of the pipe's changes that the water table follows, 0..1
	PlusMinusM        float64    // standard error of TableM on TableDate, m; NaN: the farm's
	MergeProbes       bool       // probe readings correct the books; otherwise they are held against them
	Area              orb.MultiPolygon
	AreaM2            float64 // of the whole polygon, wetted or not
	Pos               input.Pos
}

// Names are what the map may refer to. A nil list is not known: any name will do.
type Names struct {
	Fields []string
	Soils  []string
	Pivot  func(field string) *pivot.Machine // nil: the field has none
}

// MaxTableM is the deepest water table that a zone may state; what lies deeper
// feeds no crop and is given as null.
const MaxTableM = 100

// Read reads the text of a zones.geojson. Zones are in the order of the file.
func Read(file string, src []byte, known Names) ([]Zone, input.Problems) {
	src = bytes.TrimPrefix(src, []byte("\ufeff"))
	r := &reader{places: scan(file, src), known: known}
	if r.places.err != nil {
		return nil, input.Problems{*r.places.err}
	}
	var doc struct {
		Type     json.RawMessage   `json:"type"`
		Features []json.RawMessage `json:"features"`
		CRS      json.RawMessage   `json:"crs"`
	}
	if err := json.Unmarshal(src, &doc); err != nil {
		r.report("", "", "", "is not a GeoJSON FeatureCollection; write zones as RFC 7946 Polygons in one collection")
		return nil, r.problems
	}
	if string(doc.Type) != `"FeatureCollection"` {
		r.report("type", "type", string(bytes.Trim(doc.Type, `"`)), `is not "FeatureCollection"; zones are the features of one collection`)
		return nil, r.problems
	}
	if len(doc.CRS) > 0 && string(doc.CRS) != "null" && !bytes.Contains(doc.CRS, []byte("CRS84")) && !bytes.Contains(doc.CRS, []byte("4326")) {
		r.report("crs", "crs", "", "names another coordinate system; RFC 7946 positions are WGS 84 longitude and latitude")
		return nil, r.problems
	}
	if len(doc.Features) == 0 {
		r.report("features", "features", "", "has no zones; each zone is one Feature")
	}
	for i, raw := range doc.Features {
		r.feature(at("features", i), raw)
	}
	r.checkOverlaps()
	return r.zones, r.problems
}

type reader struct {
	places   *places
	known    Names
	zones    []Zone
	shapely  []bool // whether zones[i] is a sound shape, fit to be held against others
	problems input.Problems
}

func (r *reader) report(path, field, got, format string, args ...any) {
	r.problems.Add(r.places.at(path), field, got, format, args...)
}

func (r *reader) feature(path string, raw json.RawMessage) {
	var head struct {
		Type       string
		Geometry   json.RawMessage
		Properties map[string]any
	}
	if err := json.Unmarshal(raw, &head); err != nil || head.Type != "Feature" {
		r.report(path, "", "", "is not a GeoJSON Feature with geometry and properties")
		return
	}
	z := Zone{Pos: r.places.at(path)}
	r.properties(path+".properties", head.Properties, &z)
	sound := r.geometry(path+".geometry", head.Geometry, &z)
	if sound {
		// The conversion itself is orb's; what it would let pass was checked above.
		f, err := geojson.UnmarshalFeature(raw)
		if err != nil {
			r.report(path+".geometry", z.Name, "", "is not readable as GeoJSON: %v", err)
			sound = false
		} else {
			z.Area = multi(f.Geometry)
			sound = r.shape(path+".geometry", &z) && r.place(path+".geometry", &z)
		}
	}
	if sound {
		z.AreaM2 = pivot.ZoneM2(z.Area)
	}
	r.zones = append(r.zones, z)
	r.shapely = append(r.shapely, sound)
}

func multi(g orb.Geometry) orb.MultiPolygon {
	switch g := g.(type) {
	case orb.Polygon:
		return orb.MultiPolygon{g}
	case orb.MultiPolygon:
		return g
	}
	return nil
}

// checkOverlaps holds every two zones against each other.
func (r *reader) checkOverlaps() {
	bounds := make([]orb.Bound, len(r.zones))
	for i := range r.zones {
		if r.shapely[i] {
			bounds[i] = r.zones[i].Area.Bound()
		}
	}
	for i := range r.zones {
		for j := range i {
			if !r.shapely[i] || !r.shapely[j] || !bounds[i].Intersects(bounds[j]) {
				continue
			}
			if m2 := pivot.OverlapM2(r.zones[j].Area, r.zones[i].Area); m2 > pivot.OverlapToleranceM2 {
				r.problems.Add(r.zones[i].Pos, r.zones[i].Name, "", "overlaps zone %q (line %d) by %.0f m²; zones may share an edge but not ground",
					r.zones[j].Name, r.zones[j].Pos.Line, math.Round(m2))
			}
		}
	}
}

// byName is the place of a zone by its name, or -1.
func byName(zones []Zone, name string) int {
	return slices.IndexFunc(zones, func(z Zone) bool { return z.Name == name })
}

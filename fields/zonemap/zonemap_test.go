package zonemap

import (
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb/geo"
)

func collection(properties, geometry string) []byte {
	return fmt.Appendf(nil, `{"type": "FeatureCollection", "name": "exported", "features": [{"type": "Feature", "id": 7, "properties": {"zone": "A", "field": "Round", "soil": "grit", %s}, "geometry": %s}]}`, properties, geometry)
}

// What a map program may well write, and is right: either direction of rings,
// altitudes, holes, several parts, parts that touch at a corner.
func TestSoundShapes(t *testing.T) {
	for _, c := range []struct {
		name, geometry string
		rings          int
	}{
		{"anticlockwise", `{"type": "Polygon", "coordinates": [[[-95, 44], [-94.999, 44], [-94.999, 44.001], [-95, 44.001], [-95, 44]]]}`, 1},
		{"clockwise", `{"type": "Polygon", "coordinates": [[[-95, 44], [-95, 44.001], [-94.999, 44.001], [-94.999, 44], [-95, 44]]]}`, 1},
		{"altitude", `{"type": "Polygon", "coordinates": [[[-95, 44, 300], [-94.999, 44, 300], [-94.999, 44.001, 301.5], [-95, 44, 300]]]}`, 1},
		{"hole", `{"type": "Polygon", "coordinates": [[[-95, 44], [-94.999, 44], [-94.999, 44.001], [-95, 44.001], [-95, 44]], [[-94.9998, 44.0002], [-94.9998, 44.0004], [-94.9994, 44.0003], [-94.9998, 44.0002]]]}`, 2},
		{"parts touching at a corner", `{"type": "MultiPolygon", "coordinates": [[[[-95, 44], [-94.999, 44], [-94.999, 44.001], [-95, 44.001], [-95, 44]]], [[[-95, 44], [-95.001, 44], [-95.001, 43.999], [-95, 43.999], [-95, 44]]]]}`, 2},
		{"position twice running", `{"type": "Polygon", "coordinates": [[[-95, 44], [-94.999, 44], [-94.999, 44], [-94.999, 44.001], [-95, 44.001], [-95, 44]]]}`, 1},
	} {
		zones, problems := Read(File, collection(`"water_table_ft": 3`, c.geometry), known)
		if len(problems) > 0 || len(zones) != 1 {
			t.Errorf("%s: %v", c.name, problems)
			continue
		}
		z := &zones[0]
		rings, area := 0, 0.0
		for _, p := range z.Area {
			rings += len(p)
			area += geo.Area(p) // orb's geodesic area on the sphere, an independent check to the flattening of the Earth
		}
		if rings != c.rings || math.Abs(z.AreaM2/area-1) > 0.01 || math.Abs(z.TableM-0.9144) > 1e-12 || z.Pos.Line != 1 {
			t.Errorf("%s: %d rings, %.1f m² against %.1f, table %.4f m at %v", c.name, rings, z.AreaM2, area, z.TableM, z.Pos)
		}
	}
}

func TestTableOutOfReach(t *testing.T) {
	square := `{"type": "Polygon", "coordinates": [[[-95, 44], [-94.999, 44], [-94.999, 44.001], [-95, 44]]]}`
	zones, problems := Read(File, collection(`"water_table_m": null, "water_table_date": null, "pipe": null, "note": "high"`, square), known)
	if len(problems) > 0 || !math.IsInf(zones[0].TableM, 1) || zones[0].TableDate.IsValid() || zones[0].Pipe != "" {
		t.Errorf("%+v, %v", zones, problems)
	}
}

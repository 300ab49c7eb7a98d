package zonemap

import (
	"bytes"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/rogpeppe/go-internal/txtar"

	"sandwick/pivot"
)

var wheel = &pivot.Machine{Name: "Wheel", Center: orb.Point{-95, 44}, LengthM: 200}

var known = Names{
	Fields: []string{"Round"}, Soils: []string{"grit"},
	Pivot: func(string) *pivot.Machine { return wheel },
}

// FuzzRead: no map makes Read panic, every message points into the file, and
// what comes through without one is ground.
func FuzzRead(f *testing.F) {
	ar, err := txtar.ParseFile("../testdata/small.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range ar.Files {
		if file.Name == File {
			f.Add(file.Data)
			f.Add(bytes.ReplaceAll(file.Data, []byte("44.01"), []byte("null")))
			f.Add(bytes.ReplaceAll(file.Data, []byte("-95"), []byte("1e308")))
			f.Add(file.Data[:len(file.Data)/2])
		}
	}
	f.Add([]byte(`{"type":"FeatureCollection","features":[null,1,{"type":"Feature"},{"type":"Feature","geometry":{"type":"MultiPolygon","coordinates":[[[[0,0],[1,1],[1,0],[0,0]]],[]]},"properties":{"zone":1}}]}`))
	f.Add([]byte(`[[[[[[[[`))
	f.Add([]byte(`{"a":{"a":NaN}}`))
	f.Fuzz(func(t *testing.T, src []byte) {
		zones, problems := Read(File, src, known)
		lines := bytes.Count(src, []byte("\n")) + 1
		for _, p := range problems {
			if p.File != File || p.Line < 0 || p.Line > lines || p.Msg == "" {
				t.Errorf("message of no use: %#v", p)
			}
		}
		if len(problems) > 0 {
			return
		}
		for _, z := range zones {
			if z.Name == "" || z.Field != "Round" || z.Soil != "grit" || !(z.AreaM2 > 0) || math.IsInf(z.AreaM2, 0) || !(z.TableM >= 0) {
				t.Errorf("sound, but %+v", z)
			}
		}
	})
}

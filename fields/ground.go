// The ground: zones cut into cells by the slices of their pivot, and the soil
// column under each.

package fields

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"sandwick/et/input"
	"sandwick/fields/settings"
	"sandwick/pivot"
	"sandwick/soilwater"
	"sandwick/soilwater/hydraulics"
)

// NoSlice is the Slice of a cell that is not under a pivot.
const NoSlice = -1

// Cell is zone × slice: the smallest ground with a water balance of its own. A
// zone of a field without a pivot is one cell.
type Cell struct {
	Zone   int // index into Farm.Zones
	Slice  int // index, slice i covers azimuths [i, i+1) × SliceDeg; NoSlice without a pivot
	AreaM2 float64
}

// ground is what Load makes of the map. Cells stand in order of zone, then slice.
type ground struct {
	cells    []Cell
	zones    []zoneGround
	machines []machineGround // by pivot
	curves   *hydraulics.Curves
}

type zoneGround struct {
	field, pivot, soil int // indices; pivot -1 for none
	from, to           int // its cells
	areaM2             float64
	column             *soilwater.Column
}

type machineGround struct {
	slices  []pivot.Slice
	sliceM2 []float64
	bareM2  float64 // wetted ground in no zone
}

// Cells lists the farm's cells in order of zone, then slice. The caller must
// not change it.
func (f *Farm) Cells() []Cell { return f.ground.cells }

// ZoneCells is the range of a zone's cells in Cells.
func (f *Farm) ZoneCells(zone int) (from, to int) {
	z := &f.ground.zones[zone]
	return z.from, z.to
}

// ZoneAreaM2 is the ground of a zone that has a balance: what lies under the
// wetted circle, or all of it without a pivot.
func (f *Farm) ZoneAreaM2(zone int) float64 { return f.ground.zones[zone].areaM2 }

// ZoneField and ZonePivot are indices into Fields and Pivots; a zone without a
// pivot has -1.
func (f *Farm) ZoneField(zone int) int { return f.ground.zones[zone].field }

// ZonePivot: see ZoneField.
func (f *Farm) ZonePivot(zone int) int { return f.ground.zones[zone].pivot }

// ZoneSoil is an index into Soils.
func (f *Farm) ZoneSoil(zone int) int { return f.ground.zones[zone].soil }

// Column is the ground under a zone.
func (f *Farm) Column(zone int) *soilwater.Column { return f.ground.zones[zone].column }

// SliceM2 is the wetted area of each slice of a pivot.
func (f *Farm) SliceM2(pivot int) []float64 { return f.ground.machines[pivot].sliceM2 }

// lay cuts the ground into cells and prepares the columns.
func (f *Farm) lay() input.Problems {
	var problems input.Problems
	g := &f.ground
	g.zones = make([]zoneGround, len(f.Zones))
	for i := range f.Zones {
		z := &g.zones[i]
		z.field = f.FieldIndex(f.Zones[i].Field)
		z.pivot = f.PivotIndex(f.Fields[z.field].Pivot)
		z.soil = f.SoilIndex(f.Zones[i].Soil)
	}
	g.machines = make([]machineGround, len(f.Pivots))
	byZone := make([][]Cell, len(f.Zones))
	for p := range f.Pivots {
		problems = append(problems, f.layMachine(p, byZone)...)
	}
	for i := range g.zones {
		z := &g.zones[i]
		if z.pivot < 0 {
			byZone[i] = []Cell{{Zone: i, Slice: NoSlice, AreaM2: f.Zones[i].AreaM2}}
		}
		z.from = len(g.cells)
		g.cells = append(g.cells, byZone[i]...)
		z.to = len(g.cells)
		for _, c := range byZone[i] {
			z.areaM2 += c.AreaM2
		}
		if len(byZone[i]) == 0 && len(problems) == 0 {
			m := &f.Pivots[z.pivot]
			problems.Add(f.Zones[i].Pos, f.Zones[i].Name, "", "lies outside the part of the circle that pivot %q waters", m.Name)
		}
	}
	return append(problems, f.layColumns()...)
}

func (f *Farm) layMachine(p int, byZone [][]Cell) input.Problems {
	var problems input.Problems
	m, g := &f.Pivots[p].Machine, &f.ground.machines[p]
	var polygons []pivot.ZonePolygon
	var index []int // of the polygons, into Zones
	for i := range f.Zones {
		if f.ground.zones[i].pivot == p {
			polygons = append(polygons, pivot.ZonePolygon{Name: f.Zones[i].Name, Area: f.Zones[i].Area})
			index = append(index, i)
		}
	}
	cells, err := pivot.Overlay(m, polygons, f.SliceDeg)
	if err == nil {
		g.slices, err = m.Slices(f.SliceDeg)
	}
	if err != nil {
		problems.Add(f.Pivots[p].Pos, "pivots.name", m.Name, "%s", err)
		return problems
	}
	g.sliceM2 = make([]float64, len(g.slices))
	for i := range g.slices {
		g.sliceM2[i] = g.slices[i].AreaM2
	}
	for _, c := range cells {
		if c.Zone == pivot.NoZone {
			g.bareM2 += c.AreaM2
			continue
		}
		z := index[c.Zone]
		byZone[z] = append(byZone[z], Cell{Zone: z, Slice: c.Slice, AreaM2: c.AreaM2})
	}
	return problems
}

// maxBareFrac is how much of a circle may lie in no zone without a word.
const maxBareFrac = 0.02

// doubtBareGround doubts circles of which much has no zone: water is pumped on
// it that no balance sees.
func (f *Farm) doubtBareGround() input.Problems {
	var doubts input.Problems
	for p := range f.Pivots {
		total := 0.0
		for _, a := range f.ground.machines[p].sliceM2 {
			total += a
		}
		if bare := f.ground.machines[p].bareM2 / total; bare > maxBareFrac {
			doubts.Add(f.Pivots[p].Pos, "pivots.name", f.Pivots[p].Name, "%.0f %% of its circle lies in no zone: water on it is counted as pumped but has no balance", 100*bare)
		}
	}
	return doubts
}

// columnKey tells apart the columns of a farm: ground × rooting depth × runoff,
// and whether a water table can reach it, as only then are flux tables needed.
type columnKey struct {
	soil         int
	rootMaxM, cn float64
	table        bool
}

// layColumns prepares one column for each kind of ground in use. They cost up to
// some milliseconds each where a water table is in reach, so they are made side
// by side and share what they can.
func (f *Farm) layColumns() input.Problems {
	f.ground.curves = new(hydraulics.Curves)
	keys := make([]columnKey, len(f.Zones))
	var kinds []columnKey
	for i := range f.Zones {
		z := &f.ground.zones[i]
		fd := &f.Fields[z.field]
		k := columnKey{z.soil, fd.Crop.RootMaxM, fd.CurveNumber, !math.IsInf(f.Zones[i].TableM, 1)}
		if math.IsNaN(k.cn) {
			k.cn = f.Soils[z.soil].CurveNumber
		}
		if math.IsNaN(k.cn) {
			k.cn = 0 // NaN is no key: it differs from itself
		}
		keys[i] = k
		if !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	columns, errs := make([]*soilwater.Column, len(kinds)), make([]error, len(kinds))
	var wg sync.WaitGroup
	for i, k := range kinds {
		wg.Go(func() { columns[i], errs[i] = f.newColumn(k) })
	}
	wg.Wait()
	var problems input.Problems
	for i, err := range errs {
		if err != nil {
			o := &f.Soils[kinds[i].soil]
			problems.Add(o.Pos, "soils.name", o.Name, "%s", err)
		}
	}
	for i := range keys {
		f.ground.zones[i].column = columns[slices.Index(kinds, keys[i])]
	}
	return problems
}

func (f *Farm) newColumn(k columnKey) (*soilwater.Column, error) {
	o := &f.Soils[k.soil]
	p := soilwater.Profile{
		RootMaxM:          k.rootMaxM,
		Layers:            f.Start.Layers,
		CompensationLimit: f.Start.Compensation,
		RootGapM:          soilwater.DefaultRootGapM,
		DrainedMMPerDay:   hydraulics.DefaultDrainedMMPerDay,
		ZeM:               soilwater.DefaultZeM,
		TEWMM:             o.TEWMM,
		REWMM:             o.REWMM,
		CurveNumber:       k.cn,
		Curves:            f.ground.curves,
	}
	if k.cn == 0 {
		p.CurveNumber = math.NaN()
	}
	var err error
	if p.Horizons, err = f.horizons(k.soil, k.rootMaxM); err != nil {
		return nil, err
	}
	for i, z := range p.Horizons {
		if !k.table {
			p.Horizons[i] = withoutCurve(z, p.DrainedMMPerDay)
		}
	}
	return soilwater.NewColumn(p)
}

// horizons are the horizons of a soil down to rootMaxM at least, with curves
// scaled to the soil's reach.
func (f *Farm) horizons(soil int, rootMaxM float64) ([]soilwater.Horizon, error) {
	o := &f.Soils[soil]
	given := o.Horizons
	if len(given) == 0 {
		given = []settings.Horizon{{BottomM: rootMaxM, Hydraulics: o.Hydraulics, FieldCapacity: o.FieldCapacity, WiltingPoint: o.WiltingPoint}}
	}
	var out []soilwater.Horizon
	at := 0.0
	for i, h := range given {
		curve, ok := hydraulics.Lookup(h.Hydraulics)
		if !ok {
			return nil, fmt.Errorf("no set of soil hydraulics is called %q", h.Hydraulics)
		}
		if !math.IsNaN(o.ReachM) {
			var err error
			if curve, err = f.ground.curves.WithReach(curve, o.ReachM); err != nil {
				return nil, err
			}
		}
		// Depths typed in rounded feet may miss by millimetres, and the last
		// horizon goes on as deep as roots go.
		bottom := h.BottomM
		if i == len(given)-1 {
			bottom = max(bottom, rootMaxM)
		}
		out = append(out, soilwater.Horizon{TopM: at, BottomM: bottom, ThetaFC: h.FieldCapacity, ThetaWP: h.WiltingPoint, Hydraulics: &curve})
		at = bottom
	}
	return out, nil
}

// withoutCurve takes from the curve what ground far above any water table
// needs of it: what it holds when drained and when the crop wilts.
func withoutCurve(z soilwater.Horizon, drainedMMPerDay float64) soilwater.Horizon {
	if math.IsNaN(z.ThetaFC) {
		z.ThetaFC = z.Hydraulics.Drained(drainedMMPerDay)
	}
	if math.IsNaN(z.ThetaWP) {
		z.ThetaWP = z.Hydraulics.Theta(hydraulics.WiltingSuctionM)
	}
	z.Hydraulics = nil
	return z
}

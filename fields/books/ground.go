// The balance of the ground: the daily accounts of the zones added up.

package books

import (
	"math"

	"sandwick/et"
	"sandwick/fields"
)

// What counts as a day of stress: the crop gets less than StressKs of the water
// it wants, and what is missing is at least StressMM. A hundredth of an inch is
// the least that the tables show; on a cool day a dry root zone misses less.
const (
	StressKs = 0.95
	StressMM = 0.25
)

// Ground is where the water went on some ground over some days, m³. All of it
// adds up; over the ground's area it is a depth.
type Ground struct {
	RainM3, NetM3, UpfluxM3 float64 // in, with CorrectM3
	CorrectM3               float64 // entered from probe readings
	ETM3, PercM3, RunoffM3  float64 // out
	StorageM3               float64 // change of the water in the ground

	GrossM3, SprayM3 float64 // irrigation leaving the nozzles, and lost on the way
	ETcM3            float64 // what the crop would have used without stress
	EffectiveM3      float64 // effective rain, TR-21
	BelowM3          float64 // upflux less percolation where a water table is in reach
	NetPercolationM3 float64 // percolation; over a table in reach only what exceeds upflux over the month

	StressM2Days float64 // area × days of stress
	FilledETM3   float64 // of ETM3: on days whose weather was partly estimated
	CarriedETM3  float64 // of ETM3: on days without any weather measured
	StationM3    float64 // of RainM3: by the station, no gauge at the field was read
	CarriedM3    float64 // of RainM3: forecast, not measured
	NoRainM2Days float64 // area × days on which no rain was measured at all; taken as none
}

// Add adds v to g.
func (g *Ground) Add(v *Ground) {
	g.RainM3 += v.RainM3
	g.NetM3 += v.NetM3
	g.UpfluxM3 += v.UpfluxM3
	g.CorrectM3 += v.CorrectM3
	g.ETM3 += v.ETM3
	g.PercM3 += v.PercM3
	g.RunoffM3 += v.RunoffM3
	g.StorageM3 += v.StorageM3
	g.GrossM3 += v.GrossM3
	g.SprayM3 += v.SprayM3
	g.ETcM3 += v.ETcM3
	g.EffectiveM3 += v.EffectiveM3
	g.BelowM3 += v.BelowM3
	g.NetPercolationM3 += v.NetPercolationM3
	g.StressM2Days += v.StressM2Days
	g.FilledETM3 += v.FilledETM3
	g.CarriedETM3 += v.CarriedETM3
	g.StationM3 += v.StationM3
	g.CarriedM3 += v.CarriedM3
	g.NoRainM2Days += v.NoRainM2Days
}

// InM3 is all that came, OutM3 all that left.
func (g *Ground) InM3() float64 { return g.RainM3 + g.NetM3 + g.UpfluxM3 + g.CorrectM3 }

// OutM3 is all that left.
func (g *Ground) OutM3() float64 { return g.ETM3 + g.PercM3 + g.RunoffM3 }

// ClosureM3 is what the balance leaves unexplained.
func (g *Ground) ClosureM3() float64 { return g.InM3() - g.OutM3() - g.StorageM3 }

// ground books zones and fields. Of a pivot's water each zone has the share that
// fell on it; what fell on ground in no zone is booked with the well. A day on
// which the pivot only walked is divided by area.
func (b *Books) ground(l *ledger) {
	f := l.farm
	monthOf := b.monthOf()
	b.Fields = make([]Field, len(f.Fields))
	for i := range f.Fields {
		fd := &f.Fields[i]
		b.Fields[i] = Field{Name: fd.Name, Pivot: fd.Pivot, Crop: fd.CropName, Days: make([]Entry, l.days)}
		if p := f.PivotIndex(fd.Pivot); p >= 0 {
			b.Fields[i].Well = f.Pivots[p].Well
		}
	}
	under := make([][]int, len(f.Pivots)) // zones by pivot
	place := make([]int, len(f.Zones))    // of a zone in its field
	for z := range f.Zones {
		fd := &b.Fields[f.ZoneField(z)]
		place[z] = len(fd.Zones)
		fd.Zones = append(fd.Zones, Zone{Name: f.Zones[z].Name, AreaM2: f.ZoneAreaM2(z), TableFed: !math.IsInf(f.Zones[z].TableM, 1), Months: make([]Entry, len(b.Months))})
		fd.AreaM2 += f.ZoneAreaM2(z)
		if p := f.ZonePivot(z); p >= 0 {
			under[p] = append(under[p], z)
		}
		b.zone(z, &fd.Zones[place[z]], fd.Days, monthOf)
	}
	for p := range f.Pivots {
		circle := 0.0
		for _, m2 := range f.SliceM2(p) {
			circle += m2
		}
		well := &b.Wells[f.WellOf(p)]
		for day := range l.days {
			d := l.pivotDay(p, day)
			left := 1.0
			for _, z := range under[p] {
				share := f.ZoneAreaM2(z) / circle
				if d.PassM3 > 0 {
					share = b.Season.Account(day, z).GrossMM * f.ZoneAreaM2(z) / 1000 / d.PassM3
				}
				left -= share
				fd := &b.Fields[f.ZoneField(z)]
				fd.Zones[place[z]].Months[monthOf[day]].Drawn.add(&d, share)
				fd.Days[day].Drawn.add(&d, share)
			}
			well.Bare[monthOf[day]].add(&d, left)
		}
	}
}

// zone books one zone's accounts.
func (b *Books) zone(z int, zone *Zone, days []Entry, monthOf []int) {
	before := b.Season.StartMM[z]
	depths := make([]float64, len(b.Months)) // sum over days of the application the ground has room for
	for day := range days {
		a := b.Season.Account(day, z)
		if math.Abs(a.ClosureMM) > math.Abs(b.ClosureMM) {
			b.ClosureMM = a.ClosureMM
		}
		g := account(a, zone.AreaM2, before)
		before = a.StorageMM
		if zone.TableFed {
			g.BelowM3 = g.UpfluxM3 - g.PercM3
		}
		days[day].Ground.Add(&g)
		zone.Months[monthOf[day]].Ground.Add(&g)
		depths[monthOf[day]] += a.TriggerMM
	}
	for m := range zone.Months {
		g := &zone.Months[m].Ground
		n := b.Months[m].Days
		perMM := zone.AreaM2 / 1000
		// TR-21 wants the usual depth of an application: what the ground holds
		// between field capacity and the depletion at which a pass is due.
		g.EffectiveM3 = perMM * EffectiveMM(g.RainM3/perMM, g.ETcM3/perMM, depths[m]/float64(n), n)
		g.NetPercolationM3 = g.PercM3
		if zone.TableFed {
			g.NetPercolationM3 = max(0, g.PercM3-g.UpfluxM3)
		}
	}
}

// account turns a zone's day into volumes.
func account(a *fields.DayAccount, areaM2, beforeMM float64) Ground {
	v := areaM2 / 1000
	g := Ground{
		RainM3: v * a.RainMM, NetM3: v * a.NetMM, UpfluxM3: v * a.UpfluxMM, CorrectM3: v * a.CorrectMM,
		ETM3: v * a.ETMM, PercM3: v * a.PercMM, RunoffM3: v * a.RunoffMM, StorageM3: v * (a.StorageMM - beforeMM),
		GrossM3: v * a.GrossMM, SprayM3: v * a.SprayMM, ETcM3: v * a.ETcMM,
	}
	if Stressed(a) {
		g.StressM2Days = areaM2
	}
	if a.Filled&^et.FilledRain != 0 || a.Basis != fields.Measured {
		g.FilledETM3 = g.ETM3
	}
	if a.Basis != fields.Measured {
		g.CarriedETM3 = g.ETM3
	}
	if !a.GaugeRain {
		g.StationM3 = g.RainM3
		if a.Basis != fields.Measured {
			g.CarriedM3 = g.RainM3
		}
		if a.Filled&et.FilledRain != 0 {
			g.NoRainM2Days = areaM2
		}
	}
	return g
}

// Stressed tells whether a day counts as one of stress.
func Stressed(a *fields.DayAccount) bool {
	return a.Ks < StressKs && a.ETcMM-a.ETMM >= StressMM
}

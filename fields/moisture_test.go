// Measured soil water: three sandy stations of the US Climate Reference Network
// (NOAA NCEI, product daily01, 2020) against books kept with parameters from
// texture alone. Nothing is fitted. Skipped where the data is absent.
//
// The ground: parameter sets by the texture classes of the network's own soil
// table, class averages where the catalogue has them. The cover is natural and
// nobody describes it: the catalogue's cover stands for it all year. The network
// has no wind in its daily product (2 m/s is taken, FAO-56 p. 63) and Nunn's and
// Monahans's winters have frozen days that no daily balance follows.
//
// What is bad, plainly. In Georgia, where it rains, the books follow the sensors
// (correlation 0.8) but hold 37 mm less all year: the sensors' clay is wetter
// than any class average. In the dunes of Texas they follow them poorly (0.4),
// in Colorado not at all (0.1 or less). There a full cover that drinks like watered
// grass has every rain used up within days, and the books stand at the wilting
// point of the class average, 5 %, for months, while sparse natural cover leaves
// water over in spring and dries the ground to 2 % in autumn. In all three the
// scatter about the bias is 7 to 10 mm in 50 cm of ground, at Nunn and Monahans
// a quarter of all that the sensors saw. On the days on which the sensors are
// below half of their range, the ones that matter to a grower, the books are
// there too on nine days of ten, but they are there on more days besides.
//
// Held to, in all three: the scatter stays under 0.04 m³/m³, the goal that satellite
// soil moisture is held to (Entekhabi et al. 2010, SMAP; from memory), which says
// little where the water moves less than that; and of the sensors' dry days nine
// in ten are dry in the books. Where it rains the books must be much better than
// the best constant. In the dunes they must at least go with the sensors. Nothing
// of the kind is asked at Nunn, where a constant is better than the books.
//
// The figures beside them are what the program's guide states; the test holds it
// to them within a margin, so that the guide stays true.
//
// What is measured is the mean of sensors at 5, 10, 20 and 50 cm, each standing
// for the ground nearest to it down to 50 cm.

package fields

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang-sql/civil"
	"gonum.org/v1/gonum/stat"

	"sandwick/soilwater"
)

// sensorStorage reads the storage of the upper 50 cm, mm, by day; only days with all
// four sensors.
func sensorStorage(t *testing.T, src []byte) map[civil.Date]float64 {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(src)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	day := slices.Index(rows[0], "lst_date")
	thick := map[string]float64{ // mm of ground that each sensor stands for
		"soil_moisture_5_daily": 75, "soil_moisture_10_daily": 75, "soil_moisture_20_daily": 200, "soil_moisture_50_daily": 150,
	}
	out := map[civil.Date]float64{}
	for _, row := range rows[1:] {
		sum := 0.0
		for name, mm := range thick {
			v, err := strconv.ParseFloat(row[slices.Index(rows[0], name)], 64)
			if err != nil {
				v = math.NaN()
			}
			sum += mm * v
		}
		if !math.IsNaN(sum) {
			out[date(t, row[day])] = sum
		}
	}
	return out
}

// moisture is how books and sensors stand to each other.
type moisture struct {
	n                   int
	correlation         float64
	biasMM, unbiasedMM  float64 // books less sensors; RMSE without the bias
	rangeMM, sdMM       float64 // that the sensors saw, and their standard deviation: the scatter of the best constant
	agree               float64 // share of days on which both or neither are in the lower half of their own range
	dryBooks, drySensor int     // days in it
	both                int
	dryCorrelation      float64 // on the days that are dry by the sensors
	dryBiasMM           float64
	dryUnbiasedMM       float64
}

func compare(books, sensors []float64) moisture {
	m := moisture{n: len(books), correlation: stat.Correlation(books, sensors, nil)}
	m.biasMM, m.unbiasedMM = misses(books, sensors)
	half := func(x []float64) float64 { return (slices.Min(x) + slices.Max(x)) / 2 }
	m.rangeMM = slices.Max(sensors) - slices.Min(sensors)
	m.sdMM = stat.StdDev(sensors, nil)
	hb, hs := half(books), half(sensors)
	var db, ds []float64
	same := 0
	for i := range books {
		b, s := books[i] < hb, sensors[i] < hs
		if b {
			m.dryBooks++
		}
		if s {
			m.drySensor++
			db, ds = append(db, books[i]), append(ds, sensors[i])
		}
		if b && s {
			m.both++
		}
		if b == s {
			same++
		}
	}
	m.agree = float64(same) / float64(m.n)
	m.dryCorrelation = stat.Correlation(db, ds, nil)
	m.dryBiasMM, m.dryUnbiasedMM = misses(db, ds)
	return m
}

// misses are the bias and the RMSE without it.
func misses(books, sensors []float64) (bias, unbiased float64) {
	d := make([]float64, len(books))
	for i := range d {
		d[i] = books[i] - sensors[i]
	}
	return stat.Mean(d, nil), math.Sqrt(stat.MomentAbout(2, d, stat.Mean(d, nil), nil))
}

func TestMeasuredSoilWater(t *testing.T) {
	dir := filepath.Join("..", "..", "shared", "data", "uscrn-2020")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the USCRN station files are not beside the checkout")
	}
	// The catalogue's cover, standing from the first day of the year to the last.
	const allYear = "[[crops]]\nname = \"natural cover\"\nlike = \"cover\"\nstage_days = [1, 1, 364, 1]\n"
	const layered = `horizons = [
 {top_m = 0, bottom_m = 0.35, hydraulics = "sand (class average)"},
 {top_m = 0.35, bottom_m = 0.75, hydraulics = "sandy clay loam"},
 {top_m = 0.75, bottom_m = 2, hydraulics = "sandy clay"}]`
	for _, st := range []struct {
		file             string
		lat, lon, elevFt float64
		horizons         string
		correlation      float64
		biasMM, spreadMM float64
		agree, caught    float64 // share of all days; of the sensors' dry days that are dry in the books too
		least            float64 // correlation asked for; -1: none
	}{
		{"CRND-2020-CO_Nunn_7_NNE.csv", 40.8066, -104.7552, 5390, "", 0.05, -2.0, 7.2, 0.60, 153. / 161, -1},
		{"CRND-2020-GA_Newton_11_SW.csv", 31.1923, -84.4465, 156, layered, 0.81, -37.4, 9.7, 0.84, 147. / 155, 0.7},
		{"CRND-2020-TX_Monahans_6_ENE.csv", 31.6219, -102.8071, 2724, "", 0.46, 6.7, 6.9, 0.81, 288. / 293, 0.25},
	} {
		src, err := os.ReadFile(filepath.Join(dir, st.file))
		if err != nil {
			t.Fatal(err)
		}
		fs := stationFarm(t, src, st.lat, st.lon, st.elevFt, "sand (class average)")
		toml := string(fs["farm.toml"].Data)
		toml = strings.Replace(toml, `hydraulics = "sand (class average)"`, "hydraulics = \"sand (class average)\"\n"+st.horizons, 1)
		toml = strings.Replace(toml, `crop = "cover"`, `crop = "natural cover"`, 1) + allYear
		toml = strings.Replace(toml, "start = 2020-01-01\n[weather]", "start = 2020-01-01\ninitial_depletion_pct = 50\n[weather]", 1)
		fs["farm.toml"].Data = []byte(toml)
		f := mustLoad(t, fs)
		s := mustWalk(t, f, date(t, "2021-01-01"), WalkOptions{})
		sensors := sensorStorage(t, src)
		p := s.newProber(0, f.Column(0))
		var books, seen []float64
		hist := s.walk.histories(0)
		v := variant{f.Column(0), f.shifted(0, 0, s.walk.table[0]), math.Inf(1)}
		s.walk.follow(0, hist, &v, func(day, _ int, _ *soilwater.Fluxes, state *soilwater.State) {
			if mm, ok := sensors[s.Date(day)]; ok {
				books = append(books, p.held(state, math.Inf(1), 0, 0.5).water)
				seen = append(seen, mm)
			}
		})
		m := compare(books, seen)
		t.Logf("%s: %d days, range %.0f mm: correlation %.2f, bias %+.1f mm, unbiased RMSE %.1f mm; standard deviation %.1f mm; below half of its range %d days by sensors, %d by books, %d by both, agreeing on %.0f %% of days; on the sensors' dry days correlation %.2f, bias %+.1f, unbiased RMSE %.1f mm",
			st.file, m.n, m.rangeMM, m.correlation, m.biasMM, m.unbiasedMM, m.sdMM, m.drySensor, m.dryBooks, m.both, 100*m.agree, m.dryCorrelation, m.dryBiasMM, m.dryUnbiasedMM)
		if most := 0.04 * 500; !(m.unbiasedMM < most) {
			t.Errorf("%s: scatter %.1f mm; want less than %.0f", st.file, m.unbiasedMM, most)
		}
		if caught := float64(m.both) / float64(m.drySensor); !(caught >= 0.9) {
			t.Errorf("%s: %.2f of the sensors' dry days are dry in the books", st.file, caught)
		}
		if !(m.correlation >= st.least) {
			t.Errorf("%s: correlation %.2f; want %.2f", st.file, m.correlation, st.least)
		}
		if st.least >= 0.7 && !(m.unbiasedMM < 0.75*m.sdMM) {
			t.Errorf("%s: scatter %.1f mm, that of the best constant %.1f", st.file, m.unbiasedMM, m.sdMM)
		}
		within(t, "correlation", m.correlation, st.correlation, 0.1)
		within(t, "bias, mm", m.biasMM, st.biasMM, 4)
		within(t, "unbiased RMSE, mm", m.unbiasedMM, st.spreadMM, 2)
		within(t, "days on which both or neither are dry", m.agree, st.agree, 0.08)
		within(t, "the sensors' dry days that the books have", float64(m.both)/float64(m.drySensor), st.caught, 0.06)
	}
}

// Counting by hand, by brute force, and against the law a record was drawn from.

package spells

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/golang-sql/civil"
)

func on(year int, month time.Month, day int) civil.Date {
	return civil.Date{Year: year, Month: month, Day: day}
}

// record turns a picture into a History: '.' dry, 'w' 5 mm, '?' not measured.
func record(t testing.TB, first civil.Date, picture string) *History {
	t.Helper()
	rain := make([]float64, len(picture))
	for i, c := range picture {
		rain[i] = map[rune]float64{'.': 0, 'w': 5, '?': math.NaN()}[c]
	}
	h, err := New(first, rain, nil, DefaultRule())
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestByHand(t *testing.T) {
	//                            day of June: 1234567890123456789012345
	h := record(t, on(2020, time.June, 1), "..w...w.....w..?...w....w")
	for _, tt := range []struct {
		day     int
		days    int
		atLeast bool
	}{{1, 1, true}, {2, 2, true}, {3, 0, false}, {6, 3, false}, {12, 5, false}, {15, 2, false}, {16, 0, true}, {18, 2, true}, {24, 4, false}, {30, 0, true}} {
		if days, atLeast := h.DryRun(on(2020, time.June, tt.day)); days != tt.days || atLeast != tt.atLeast {
			t.Errorf("June %d: dry %d, at least %v; want %d, %v", tt.day, days, atLeast, tt.days, tt.atLeast)
		}
	}
	// Spells that had lasted 2 days: on 5, 9, 15 and 22 June. The next 2 days:
	// dry and wet; dry, dry; unknown; dry, dry.
	c := h.Chance(Query{Date: on(1999, time.June, 13), Dry: 2, More: 2, Window: 20})
	if c.Cases != 3 || c.Held != 2 || c.Cut != 1 || c.Years != 1 {
		t.Errorf("got %+v", c)
	}
	// Too few for a frequency: the chain. Dry days with a known morrow: 1 to 2,
	// 4 to 6, 8 to 12, 14, 17 to 19, 21 to 24; a wet morrow have 2, 6, 12, 19, 24.
	if c.Method != Chained || c.DryBefore != 18 || c.DryToDry != 13 {
		t.Errorf("got %+v", c)
	}
	if want := math.Pow(13.0/18, 2); math.Abs(c.P-want) > 1e-12 {
		t.Errorf("chain says %g, want %g", c.P, want)
	}
	if list, left := h.Longest(on(1999, time.June, 1), 15); len(list) != 1 || list[0] != (YearMax{2020, 5}) || left != 0 {
		t.Errorf("longest: %v, %d left out", list, left)
	}
	if list, left := h.Longest(on(1999, time.June, 10), 10); len(list) != 0 || left != 1 {
		t.Errorf("longest with a day unknown: %v, %d left out", list, left)
	}
	if list, _ := h.Longest(on(1999, time.June, 21), 3); list[0].Days != 3 {
		t.Errorf("a spell is cut at the window's ends: %v", list)
	}
}

func TestQueriesOutOfRange(t *testing.T) {
	h := record(t, on(2020, time.June, 1), "..w...w")
	good := Query{Date: on(2020, time.June, 5), Dry: 1, More: 1, Window: 10}
	for _, change := range []func(*Query){
		func(q *Query) { q.Dry = -1 }, func(q *Query) { q.More = 0 }, func(q *Query) { q.Window = -1 },
		func(q *Query) { q.Window = MaxWindow + 1 }, func(q *Query) { q.Date = civil.Date{} },
	} {
		q := good
		change(&q)
		if c := h.Chance(q); c.Method != NoMethod || !math.IsNaN(c.P) {
			t.Errorf("%+v gives %+v", q, c)
		}
	}
	var empty History
	if c := empty.Chance(good); c.Method != NoMethod || c.Cases != 0 {
		t.Errorf("an empty record gives %+v", c)
	}
	if _, atLeast := empty.DryRun(good.Date); !atLeast {
		t.Error("an empty record knows how long it has been dry")
	}
	if list, _ := empty.Longest(good.Date, 30); list != nil {
		t.Error("an empty record has longest spells")
	}
	if c := h.Chance(good); c.Method != NoMethod || c.Cases == 0 {
		t.Errorf("a week's record is too short for either method: %+v", c)
	}
	for _, bad := range []struct {
		first     civil.Date
		rain, eto []float64
		rule      Rule
	}{
		{civil.Date{}, []float64{1}, nil, DefaultRule()},
		{good.Date, []float64{1}, nil, Rule{}},
		{good.Date, []float64{1}, nil, Rule{MinMM: math.Inf(1)}},
		{good.Date, []float64{1}, nil, Rule{MinMM: 1, EToShare: -1}},
		{good.Date, []float64{1}, nil, Rule{MinMM: 1, EToShare: math.NaN()}},
		{good.Date, []float64{1}, []float64{1, 2}, Rule{MinMM: 1, EToShare: 1}},
	} {
		if h, err := New(bad.first, bad.rain, bad.eto, bad.rule); err == nil || h != nil {
			t.Errorf("%+v is taken", bad)
		}
	}
}

// drawn is a record from a chain, some days of it lost.
func drawn(rng *rand.Rand, first civil.Date, days int, c Chain, lost float64) []float64 {
	rain := make([]float64, days)
	wet := rng.Float64() < c.WetFraction()
	for i := range rain {
		p := c.WetAfterDry
		if wet {
			p = c.WetAfterWet
		}
		wet = rng.Float64() < p
		if wet {
			rain[i] = 1 + 10*rng.ExpFloat64()
		}
		if rng.Float64() < lost {
			rain[i] = math.NaN()
		}
	}
	return rain
}

// bruteChance recounts by looking at dates and rain alone.
func bruteChance(first civil.Date, rain []float64, q Query) (cases, held, cut int) {
	wet := func(i int) bool { return rain[i] >= 1 }
	dry := func(i int) bool { return rain[i] < 1 }
days:
	for i := range rain {
		d := first.AddDays(i)
		near := false
		for year := d.Year - 1; year <= d.Year+1; year++ {
			c := civil.Date{Year: year, Month: q.Date.Month, Day: q.Date.Day}
			for !c.IsValid() {
				c.Day--
			}
			if n := d.DaysSince(c); -q.Window <= n && n <= q.Window {
				near = true
			}
		}
		if !near || i < q.Dry || !wet(i-q.Dry) {
			continue
		}
		for j := i - q.Dry + 1; j <= i; j++ {
			if !dry(j) {
				continue days
			}
		}
		all := true
		for j := i + 1; j <= i+q.More; j++ {
			if j >= len(rain) || math.IsNaN(rain[j]) {
				cut++
				continue days
			}
			all = all && dry(j)
		}
		cases++
		if all {
			held++
		}
	}
	return cases, held, cut
}

func TestCountsAgainstBruteForce(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 150 {
		first := on(1990+rng.IntN(20), time.Month(1+rng.IntN(12)), 1+rng.IntN(28))
		rain := drawn(rng, first, 300+rng.IntN(2500), Chain{0.1 + 0.4*rng.Float64(), 0.2 + 0.5*rng.Float64()}, 0.02*float64(rng.IntN(3)))
		h, err := New(first, rain, nil, DefaultRule())
		if err != nil {
			t.Fatal(err)
		}
		q := Query{Date: on(2024, time.January, 1).AddDays(rng.IntN(366)), Dry: rng.IntN(8), More: 1 + rng.IntN(9), Window: rng.IntN(MaxWindow + 1)}
		c := h.Chance(q)
		cases, held, cut := bruteChance(first, rain, q)
		if c.Cases != cases || c.Held != held || c.Cut != cut {
			t.Fatalf("seed %d, %+v: %d of %d spells and %d cut, counted one by one %d of %d and %d", seed, q, c.Held, c.Cases, c.Cut, held, cases, cut)
		}
		if c.Method != NoMethod && !(0 <= c.Low && c.Low <= c.P && c.P <= c.High && c.High <= 1) {
			t.Fatalf("seed %d, %+v: %g not within %g to %g", seed, q, c.P, c.Low, c.High)
		}
		// The Gregorian calendar repeats after 400 years, so must everything.
		shifted := first
		shifted.Year += 400
		h2, _ := New(shifted, rain, nil, DefaultRule())
		if again := h2.Chance(q); again != c && !(math.IsNaN(again.P) && math.IsNaN(c.P)) {
			t.Fatalf("seed %d, %+v: 400 years later %+v, was %+v", seed, q, again, c)
		}
		// A longer wait is never likelier to stay dry, among the same spells.
		if cut == 0 {
			q.More++
			if more := h.Chance(q); more.Cases == c.Cases && more.Held > c.Held {
				t.Fatalf("seed %d, %+v: more spells last longer", seed, q)
			}
		}
	}
}

// Records drawn from a chain whose law is known: both methods must find it, and
// their 90 % intervals must hold it about as often as they say.
func TestCoverage(t *testing.T) {
	const seed, rounds = 5, 300
	rng := rand.New(rand.NewPCG(seed, 0))
	law := Chain{0.25, 0.5}
	for _, q := range []Query{
		{Date: on(2024, time.July, 1), Dry: 2, More: 3, Window: 15},
		{Date: on(2024, time.July, 1), Dry: 12, More: 4, Window: 15},
		{Date: on(2024, time.January, 3), Dry: 0, More: 5, Window: 10},
	} {
		want := math.Pow(1-law.WetAfterDry, float64(q.More))
		if q.Dry == 0 {
			want = (1 - law.WetAfterWet) * math.Pow(1-law.WetAfterDry, float64(q.More-1))
		}
		held, sum, by := 0, 0.0, map[Method]int{}
		for range rounds {
			first := on(2005, time.January, 1)
			h, _ := New(first, drawn(rng, first, 15*365, law, 0), nil, DefaultRule())
			c := h.Chance(q)
			by[c.Method]++
			sum += c.P
			if c.Low <= want && want <= c.High {
				held++
			}
		}
		if mean := sum / rounds; math.Abs(mean-want) > 0.03 {
			t.Errorf("seed %d, %+v: mean %.3f, the law says %.3f", seed, q, mean, want)
		}
		// 270 of 300 expected; five standard deviations of a binomial are 26.
		if held < 244 {
			t.Errorf("seed %d, %+v: the interval holds the truth in %d of %d records (%v)", seed, q, held, rounds, by)
		}
		if q.Dry == 12 && by[Chained] == 0 || q.Dry == 2 && by[Counted] != rounds {
			t.Errorf("seed %d, %+v: methods %v", seed, q, by)
		}
	}
}

// The recursion against records drawn from the chain.
func TestLongestAgainstRecords(t *testing.T) {
	const seed, rounds = 3, 4000
	rng := rand.New(rand.NewPCG(seed, 0))
	law := Chain{0.2, 0.45}
	hits := map[int]int{1: 0, 5: 0, 10: 0, 20: 0}
	for range rounds {
		rain := drawn(rng, on(2021, time.May, 1), 60, law, 0)
		h, _ := New(on(2021, time.May, 1), rain, nil, DefaultRule())
		list, _ := h.Longest(on(2000, time.May, 1), 60)
		for k := range hits {
			if list[0].Days >= k {
				hits[k]++
			}
		}
	}
	for k, n := range hits {
		p := law.LongestAtLeast(k, 60)
		if sd := math.Sqrt(p * (1 - p) / rounds); math.Abs(float64(n)/rounds-p) > 4*sd+1e-9 {
			t.Errorf("seed %d: longest of %d days or more in %.4f of records, recursion says %.4f", seed, k, float64(n)/rounds, p)
		}
	}
	// All 60 days dry: the first, and then each after a dry one.
	if p, want := law.LongestAtLeast(60, 60), (1-law.WetFraction())*math.Pow(0.8, 59); math.Abs(p/want-1) > 1e-9 {
		t.Errorf("all days dry: %g, want %g", p, want)
	}
	if p := law.LongestAtLeast(0, 5); p != 1 {
		t.Errorf("at least 0 days: %g", p)
	}
	if p := law.LongestAtLeast(6, 5); p != 0 {
		t.Errorf("6 days in 5: %g", p)
	}
}

func TestReturnOf(t *testing.T) {
	var list []YearMax
	for i, d := range []int{4, 9, 6, 12, 7, 5, 8, 10, 3, 11} {
		list = append(list, YearMax{2010 + i, d})
	}
	for _, tt := range []struct {
		t    float64
		want float64
		fit  Fit
	}{
		{11, 12, FitRanked}, // the largest of 10 has a return period of 11 years
		{5.5, 11, FitRanked},
		{2, 7.5, FitRanked},
		{22.0 / 3, 11.5, FitRanked},
		// mean 7.5, standard deviation 3.0277; K(20) = 1.8658, Gumbel
		{20, 7.5 + 1.8658*3.0277, FitGumbel},
	} {
		if r := ReturnOf(list, tt.t); r.Method != tt.fit || math.Abs(r.Days-tt.want) > 1e-3 {
			t.Errorf("T = %g: %+v, want %g by %v", tt.t, r, tt.want, tt.fit)
		}
	}
	if r := ReturnOf(list[:3], 20); r.Method != FitNone || !math.IsNaN(r.Days) {
		t.Errorf("three years give a 20-year spell: %+v", r)
	}
	if r := ReturnOf(list[:3], 2); r.Method != FitRanked || r.Days != 6 {
		t.Errorf("median of three: %+v", r)
	}
	if r := ReturnOf(nil, 2); r.Method != FitNone {
		t.Errorf("no years: %+v", r)
	}
	same := []YearMax{{1, 5}, {2, 5}, {3, 5}, {4, 5}, {5, 5}}
	if r := ReturnOf(same, 50); r.Days != 5 {
		t.Errorf("years without spread: %+v", r)
	}
}

// The chain's return value agrees with its own law: 92 independent days with
// wet probability 0.3 reach 7 dry days in 93.5 %, 10 in 54.7 %, 14 in 15.6 %
// and 21 in 1.2 % of years (testdata/closed_forms.csv).
func TestChainReturn(t *testing.T) {
	c := Chain{0.3, 0.3}
	for _, tt := range []struct{ t, least, below float64 }{{1 / 0.93, 7, 10}, {1 / 0.54, 10, 14}, {1 / 0.156, 14, 21}, {1 / 0.0124, 21, 92}} {
		r := c.Return(tt.t, 92)
		if r.Method != FitChain || r.Days < tt.least || r.Days >= tt.below {
			t.Errorf("T = %g: %+v, want from %g to below %g", tt.t, r, tt.least, tt.below)
		}
		k := int(r.Days)
		if c.LongestAtLeast(k, 92) < 1/tt.t || c.LongestAtLeast(k+1, 92) >= 1/tt.t {
			t.Errorf("T = %g: %d days is not the longest that is reached", tt.t, k)
		}
	}
	if r := (Chain{0, 1}).Return(5, 92); r.Method != FitNone {
		t.Errorf("a chain that never moves: %+v", r)
	}
	if r := c.Return(1, 92); r.Method != FitNone {
		t.Errorf("T = 1: %+v", r)
	}
}

// Windows across New Year, 29 February and the ends of the record.
func TestCalendar(t *testing.T) {
	const days = 366 + 365 + 365 + 365
	dry := make([]byte, days)
	for i := range dry {
		dry[i] = '.'
	}
	dry[0] = 'w'
	h := record(t, on(2020, time.January, 1), string(dry)) // 2020 to 2023
	list, left := h.Longest(on(1900, time.December, 20), 30)
	if len(list) != 3 || list[0] != (YearMax{2020, 30}) || list[2].Year != 2022 || left != 2 {
		t.Errorf("across New Year: %v, %d left out", list, left) // 2019 and 2023 are not whole
	}
	list, _ = h.Longest(on(2020, time.February, 29), 2)
	if len(list) != 4 {
		t.Errorf("29 February stands for 28 February in other years: %v", list)
	}
	wet := record(t, on(2020, time.January, 1), "w"+string(dry[1:59])+"w"+string(dry[60:])) // 29 February 2020 is wet
	if c := wet.Chance(Query{Date: on(2024, time.February, 29), Dry: 0, More: 1, Window: 0}); c.Cases != 1 || c.Years != 4 {
		t.Errorf("29 February: %+v", c)
	}
	if c := h.Chance(Query{Date: on(2000, time.July, 1), Dry: 1, More: 1, Window: MaxWindow}); c.DryBefore > days {
		t.Errorf("days counted twice: %+v", c)
	}
	chain, n, ok := wet.ChainAround(on(2000, time.December, 1), on(2000, time.January, 31))
	if ok || n == 0 || chain != (Chain{}) {
		t.Errorf("a winter without wet days gives a chain: %+v, %d days", chain, n)
	}
}

func TestChainAround(t *testing.T) {
	const seed = 8
	rng := rand.New(rand.NewPCG(seed, 0))
	first := on(1980, time.January, 1)
	law := Chain{0.25, 0.5}
	h, _ := New(first, drawn(rng, first, 40*365, law, 0.01), nil, DefaultRule())
	chain, days, ok := h.ChainAround(on(2000, time.June, 1), on(2000, time.August, 31))
	if !ok || days < 39*92*9/10 || days > 40*92 {
		t.Fatalf("%d days, %v", days, ok)
	}
	// Standard errors are about 0.009 and 0.014; four of them.
	if math.Abs(chain.WetAfterDry-0.25) > 0.04 || math.Abs(chain.WetAfterWet-0.5) > 0.06 {
		t.Errorf("seed %d: %+v", seed, chain)
	}
}

// A year that ends in the middle of a spell or is full of gaps says how little
// it knows, and never panics.
func FuzzChance(f *testing.F) {
	f.Add("..w...w.....w..?...w....w", 3, 2, 20, 150)
	f.Add("", 0, 1, 0, 0)
	f.Add("????", 1, 1, 182, 365)
	f.Add("wwwwwwwwwwwwwwwwwwwwwwww........................", 0, 30, 15, 60)
	f.Fuzz(func(t *testing.T, picture string, dry, more, window, day int) {
		if len(picture) > 4000 {
			return
		}
		rain := make([]float64, len(picture))
		for i := range rain {
			rain[i] = map[byte]float64{'.': 0, 'w': 5}[picture[i]]
			if picture[i] != '.' && picture[i] != 'w' {
				rain[i] = math.NaN()
			}
		}
		h, err := New(on(2020, time.January, 1), rain, nil, DefaultRule())
		if err != nil {
			t.Fatal(err)
		}
		c := h.Chance(Query{Date: on(2020, time.January, 1).AddDays(day % 800), Dry: dry, More: more, Window: window})
		if c.Held > c.Cases || c.Method != NoMethod && !(c.Low <= c.P && c.P <= c.High) {
			t.Fatalf("%+v", c)
		}
	})
}

func BenchmarkNew(b *testing.B) {
	rain := drawn(rand.New(rand.NewPCG(1, 0)), on(1990, time.January, 1), 30*365, Chain{0.25, 0.5}, 0)
	b.ReportAllocs()
	for b.Loop() {
		if h, err := New(on(1990, time.January, 1), rain, nil, DefaultRule()); err != nil || h.Days() != len(rain) {
			b.Fatal("no history")
		}
	}
}

func BenchmarkChance(b *testing.B) {
	rain := drawn(rand.New(rand.NewPCG(1, 0)), on(1990, time.January, 1), 30*365, Chain{0.25, 0.5}, 0)
	h, err := New(on(1990, time.January, 1), rain, nil, DefaultRule())
	if err != nil {
		b.Fatal(err)
	}
	q := Query{Date: on(2025, time.July, 19), Dry: 5, More: 7, Window: DefaultWindow}
	b.ReportAllocs()
	for b.Loop() {
		if c := h.Chance(q); c.Method != Counted {
			b.Fatal(c)
		}
	}
}

func BenchmarkLongestAtLeast(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if p := (Chain{0.3, 0.3}).LongestAtLeast(14, 92); p < 0.15 {
			b.Fatal(p)
		}
	}
}

package records

import (
	"strings"
	"testing"
	"testing/fstest"
)

// What is doubted of a totaliser: a reading that goes backwards, also past a
// missing one and in counts of another worth, and one that outruns its well.
func TestMeterDoubts(t *testing.T) {
	for _, c := range []struct{ name, rows, doubt string }{
		{"onwards", "2025-06-01,North,100,m3,,\n2025-06-05,North,9000,m3,,\n", ""},
		{"backwards", "2025-06-01,North,100,m3,,\n2025-06-05,North,90,m3,,\n", "is less than the reading of 2025-06-01"},
		{"backwards past a missing one", "2025-06-01,North,100,m3,,\n2025-06-03,North,,m3,missing,\n2025-06-05,North,90,m3,,\n", "is less than the reading of 2025-06-01 in line 2"},
		{"missing and onwards", "2025-06-01,North,100,m3,,\n2025-06-03,North,,m3,missing,\n2025-06-05,North,110,m3,,\n", ""},
		{"fewer counts, worth more", "2025-06-01,North,900,m3,,1\n2025-06-05,North,10,m3,,100\n", ""},
		{"more counts, worth less", "2025-06-01,North,10,m3,,100\n2025-06-05,North,900,m3,,1\n", "is less than the reading"},
		{"counts worth what the well's meter says", "2025-06-01,South,10,m3,,\n2025-06-05,South,900,m3,,1\n", "is less than the reading"},
		{"replaced", "2025-06-01,North,100,m3,,\n2025-06-05,North,3,m3,replaced,\n", ""},
		{"replaced, then backwards", "2025-06-01,North,100,m3,,\n2025-06-05,North,30,m3,replaced,\n2025-06-06,North,3,m3,,\n", "is less than the reading of 2025-06-05"},
		// 100 m³/h for 4 days is 9600 m³; 1.25 times that is 12,000.
		{"as much as is believed", "2025-06-01,North,0,m3,,\n2025-06-05,North,12000,m3,,\n", ""},
		{"more than the well gives", "2025-06-01,North,0,m3,,\n2025-06-05,North,12001,m3,,\n", "more than the well gives day and night"},
		{"more, past a missing one", "2025-06-01,North,0,m3,,\n2025-06-02,North,,m3,missing,\n2025-06-03,North,6001,m3,,\n", "more than the well gives"},
		{"two on one day", "2025-06-01,North,0,m3,,\n2025-06-01,North,3001,m3,,\n", "more than the well gives"},
		{"rolled over", "2025-06-01,North,999990,m3,,\n2025-06-05,North,5,m3,rollover,\n", ""},
		{"rolled over far too soon", "2025-06-01,North,500000,m3,,\n2025-06-05,North,5,m3,rollover,\n", "more than the well gives"},
		{"another well", "2025-06-01,North,100,m3,,\n2025-06-05,South,1,m3,,\n", ""},
	} {
		farm := testFarm(t)
		farm.Wells = []string{"North", "South"}
		farm.Totalisers = map[string]Totaliser{"North": {Multiplier: 1, FlowM3H: 100}, "South": {Multiplier: 100, FlowM3H: 100}}
		_, problems, doubts := Read(fstest.MapFS{Dir + "/" + MetersFile: {Data: []byte("date,well,reading,unit,event,multiplier\n" + c.rows)}}, farm)
		if len(problems) > 0 {
			t.Errorf("%s: %v", c.name, problems)
		}
		if got := doubts.Error(); c.doubt == "" && len(doubts) > 0 || !strings.Contains(got, c.doubt) || len(doubts) > 1 {
			t.Errorf("%s: doubts %q, want %q", c.name, got, c.doubt)
		}
	}
}

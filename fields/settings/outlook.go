// [outlook]: what counts as useful rain, and how much of the year stands for a day.

package settings

import "sandwick/et/spells"

// Outlook is how dry spells are counted in the years of history.csv.
type Outlook struct {
	Rule       spells.Rule
	WindowDays int // days before and after the calendar day that count
}

// MostWindowDays is the widest window that still is a time of the year: with
// it half of the year counts for each day.
const MostWindowDays = 91

func (s *Settings) readOutlook(root *section) {
	sec, _ := root.sub("outlook")
	defer sec.done()
	usual := spells.DefaultRule()
	s.Outlook = Outlook{
		Rule: spells.Rule{
			// A tenth of a millimetre is the least that gauges tell apart; 50 mm refills any sand.
			MinMM:    sec.quantity("useful_rain", depths, usual.MinMM, limits{0.1, 50}),
			EToShare: sec.fraction("useful_rain_eto_pct", usual.EToShare, limits{0, 300}),
		},
		WindowDays: sec.whole("window_days", spells.DefaultWindow, limits{0, MostWindowDays}),
	}
}

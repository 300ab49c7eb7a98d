// One sheet of paper per pivot: how tall a sheet will be in print, so that one
// with much on it is set smaller.

package page

import (
	"fmt"
	"math"
)

// Heights in print, mm, as the style sheet has them. Letter paper is the shorter
// of the two that a page must fit.
const (
	paperMM  = 279.4 - 2*9 - 6 // letter without margins, and something to spare
	nameMM   = 11.0
	mapMM    = 78.0
	zoneMM   = 7.6
	rowMM    = 4.0
	legMM    = 7.0
	headMM   = 10.0 // a table's caption and header
	textMM   = 3.7  // a line of the card
	wideMM   = 104.0
	charMM   = 1.45 // of the card's text
	keyMM    = 8.0
	smallMM  = 3.0 // a line of the cautions
	startMM  = 34.0
	plotsMM  = 198.0 // width of a row of plots
	cautions = 5
)

// shares are how small a sheet may be printed, as the style sheet has them in
// fit-2 and on; spare is what an estimate of a very full sheet may be out by.
var shares = [...]float64{0.9, 0.8, 0.68, 0.56}

const spare = 1.12

// still tells whether nothing is run: the ground then stands beside the map, where
// the legs would be.
func (sh *sheet) still() bool { return len(sh.Legs)+len(sh.Then) == 0 }

// fit is the classes of a sheet: how many plots stand in a row, as few as there
// is room for, and how much smaller the sheet is printed if there is none.
func (sh *sheet) fit() string {
	n := len(sh.Soil)
	for across := 2; across <= 4; across++ {
		if (across > 2 || n <= 4) && sh.height(across) <= paperMM {
			return fmt.Sprintf("by-%d fit-1", across)
		}
	}
	tall := sh.height(4) * spare
	for i, share := range shares {
		if tall*share <= paperMM {
			return fmt.Sprintf("by-4 fit-%d", i+2)
		}
	}
	return fmt.Sprintf("by-4 fit-%d", len(shares)+1)
}

// height is how tall the sheet is in print with so many plots in a row, mm.
func (sh *sheet) height(across int) float64 {
	lines := func(text string) float64 { return math.Ceil(float64(len(text)) * charMM / wideMM) }
	left, right := mapMM, startMM
	ground := &left
	if sh.still() {
		ground = &right
	}
	*ground += keyMM
	if len(sh.Zones) > 0 {
		*ground += headMM + zoneMM*float64(len(sh.Zones))
	}
	if len(sh.Later) > 0 {
		*ground += headMM + rowMM*float64(len(sh.Later))
	}
	for _, list := range [][]string{sh.Why, sh.Cuts, sh.Then, {sh.Behind}, {sh.Care}} {
		for _, text := range list {
			if text != "" {
				right += textMM*lines(text) + 1
			}
		}
	}
	if len(sh.Legs) > 0 {
		right += headMM + legMM*float64(len(sh.Legs))
	}
	soil := 0.0
	if n := float64(len(sh.Soil)); n > 0 {
		wide := (plotsMM - 4*float64(across-1)) / float64(across)
		soil = keyMM + math.Ceil(n/float64(across))*(5+wide*plotH/plotW)
	}
	foot := smallMM*cautions + 3
	for _, n := range sh.Notes {
		foot += smallMM * math.Ceil(float64(len(n))/150)
	}
	return nameMM + max(left, right) + soil + foot
}

// Package crop draws a crop through its season: growth stage, Kc and Kcb with
// the climate adjustment of FAO-56 (Eqs. 62, 65, 66, 70), height, cover and
// root depth, one value a day, shared by every cell of a field.
package crop

import "github.com/golang-sql/civil"

// Day is what the water balance needs to know of the crop on one day.
type Day struct {
	Date    civil.Date
	Stage   Stage
	Kc      float64 // single crop coefficient, climate adjusted
	Kcb     float64 // basal crop coefficient, climate adjusted
	HeightM float64
	RootM   float64 // rooting depth, m
	P       float64 // depletion fraction for no stress at ETc 5 mm/day, FAO-56 Table 22
	Ky      float64 // seasonal yield response factor; NaN if unknown
}

// Stage is a growth stage of FAO-56 chapter 6. The zero Stage is bare ground.
type Stage uint8

// The stages in order.
const (
	Bare Stage = iota
	Initial
	Development
	Mid
	Late
)

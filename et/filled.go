package et

// Filled is the set of inputs of one day that were estimated, not measured.
// The zero Filled is the empty set: all measured.
type Filled uint16

// The inputs that can be estimated, each by the method in its comment.
const (
	FilledTemperature Filled = 1 << iota // no thermometer that day
	FilledHumidity                       // dew point taken from Tmin, FAO-56 Eq. 48
	FilledWind                           // 2 m/s, FAO-56 p. 63
	FilledRadiation                      // from the temperature range, FAO-56 Eq. 50, or sunshine, Eq. 35
	FilledRain                           // no gauge that day: taken as none
)

var filledNames = [...]string{"temperature", "humidity", "wind", "radiation", "rain"}

// Names lists the estimated inputs, in a fixed order; empty when all were measured.
func (f Filled) Names() []string {
	names := []string{}
	for i, n := range filledNames {
		if f&(1<<i) != 0 {
			names = append(names, n)
		}
	}
	return names
}

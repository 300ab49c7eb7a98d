// Which inputs were estimated, and what the humidity rests on.

package et

// Filled is the set of inputs of one day that were estimated, not measured.
// The zero Filled is the empty set: all measured.
type Filled uint16

// The inputs that can be estimated, each by the method in its comment.
const (
	FilledTemperature Filled = 1 << iota // no thermometer that day, or hours of it missing
	FilledHumidity                       // dew point taken from Tmin, FAO-56 Eq. 48, or hours missing
	FilledWind                           // 2 m/s, FAO-56 p. 63, or hours missing
	FilledRadiation                      // from the temperature range, FAO-56 Eq. 50, or sunshine, Eq. 35
	FilledRain                           // no gauge that day: taken as none; or hours missing
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

// Humidity is the measurement that a vapour pressure rests on, in the order
// in which FAO-56 chapter 3 prefers them. HumidityRHMax and HumidityRHMean are
// measurements, so they are not in [Filled], but FAO-56 calls them less
// accurate: show them. The zero Humidity is none.
type Humidity uint8

// The humidity measurements, best first.
const (
	HumidityNone         Humidity = iota
	HumidityDewPoint              // FAO-56 Eq. 14
	HumidityPsychrometer          // FAO-56 Eq. 15
	HumidityRHMaxMin              // FAO-56 Eq. 17
	HumidityRHMax                 // FAO-56 Eq. 18
	HumidityRHMean                // FAO-56 Eq. 19
	HumidityTmin                  // estimated: FAO-56 Eq. 48
)

var humidityNames = [...]string{"none", "dew point", "psychrometer",
	"highest and lowest relative humidity", "highest relative humidity",
	"mean relative humidity", "lowest temperature"}

// String names the measurement in the words of the trade.
func (h Humidity) String() string {
	if int(h) < len(humidityNames) {
		return humidityNames[h]
	}
	return "unknown"
}

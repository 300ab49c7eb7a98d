package soilwater

// What a measurement changes in the state.

// Correct changes the water content between two depths (m below ground) by
// theta (m³/m³), as far as there is water to take, and returns what was added,
// mm. What finds no room drains in the next step, as rain would. It belongs
// between two steps: neither of them counts it among its own fluxes.
func (c *Column) Correct(s *State, topM, bottomM, theta float64) (mm float64) {
	for i := range c.n {
		thick := min(c.base[i], bottomM) - max(c.top[i], topM)
		if thick <= 0 {
			continue
		}
		x := max(1000*theta*thick, -s.Layer[i])
		s.Layer[i] += x
		mm += x
	}
	return mm
}

// Flow of wells and machines.

package units

// Flow is m³/h, shown in gallons a minute or m³/h.
var Flow = Quantity{"gpm", "m3/h", 1 / (60 * m3PerGallon), 0, 1, 0, 1}

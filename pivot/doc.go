// Package pivot is the machine: where it stands, what it covers, how fast it
// walks and how much water it leaves. Sub-package runplan decides when to run.
//
// Azimuths are degrees clockwise from true north, lengths metres, areas m²,
// depths mm, flows m³/h, times hours of elapsed time (never clock time, so no
// change to or from summer time can touch them).
//
// The ground is a plane about the pivot point ([Plane]): distances and
// azimuths from the pivot are true on the WGS 84 ellipsoid, areas within 1.1e-7
// out to 5 km. It is the plane at the ellipsoid's height: ground h metres higher
// is longer by h/6.37e6 (0.02 % at 1200 m), as it is for every published area
// that is computed from longitude and latitude.
//
// What is left out: the spray thrown ahead of the arm past a stop, wind drift,
// the change of flow with the lie of the land, corner machines that swing out.
//
// Sources, by file:
//
//	plane.go    WGS 84 (NIMA TR8350.2); azimuthal equidistant projection
//	overlay.go  Green's theorem on sectors of a circle and edges of a polygon
//	overlap.go  the same by trapezoids
//	depth.go    gross depth = flow × time / area
//	rate.go     elliptical application pattern, 122.5 Q/(R r)
package pivot

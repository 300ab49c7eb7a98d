package soilwater

// Column is the ground under a cell, prepared once per soil and shared by all
// cells on it.
type Column struct{}

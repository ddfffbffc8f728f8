package place

import pb "heirpress/proto/heirpress/v1"

// Message is the town as the contract carries it.
func (t Town) Message() *pb.Town {
	return &pb.Town{
		Name: t.Name, Region: t.Region, County: t.County, CountryCode: t.Country, Label: t.Label(),
		Point: &pb.Point{Latitude: t.Point.Lat, Longitude: t.Point.Lng},
	}
}

package server

import (
	"slices"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/fieldmaskpb"
	"pgregory.net/rapid"

	pb "heirpress/proto/heirpress/v1"
)

func drawShop(t *rapid.T, label string) *pb.Shop {
	text := rapid.SampledFrom([]string{"", "one", "two"})
	s := &pb.Shop{
		Title: text.Draw(t, label), Story: text.Draw(t, label), Place: text.Draw(t, label),
		Access: text.Draw(t, label), CollectionName: text.Draw(t, label),
	}
	if rapid.Bool().Draw(t, label) {
		s.ClearBy = &pb.Date{Year: rapid.Int32Range(1, 3).Draw(t, label)}
	}
	return s
}

func maskOf(fields ...string) *fieldmaskpb.FieldMask { return &fieldmaskpb.FieldMask{Paths: fields} }

func containsField(fields []string, name string) bool { return slices.Contains(fields, name) }

func sameField(a, b *pb.Shop, name string) bool {
	f := a.ProtoReflect().Descriptor().Fields().ByName(protoreflect.Name(name))
	x, y := a.ProtoReflect(), b.ProtoReflect()
	return x.Has(f) == y.Has(f) && x.Get(f).Equal(y.Get(f))
}

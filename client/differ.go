package client

import (
	"slices"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/fieldmaskpb"
)

// differing names the fields that a message says, and says otherwise than the
// old one; what it does not say is left alone, also within a lot's detail, its
// size and its parts. A class or detail of another kind that is in the way is
// named too.
func differing(old, said proto.Message, fields ...string) *fieldmaskpb.FieldMask {
	mask := new(fieldmaskpb.FieldMask)
	a, b := old.ProtoReflect(), said.ProtoReflect()
	for _, name := range fields {
		field := b.Descriptor().Fields().ByName(protoreflect.Name(name))
		mask.Paths = append(mask.Paths, differingPaths(a, b, field)...)
	}
	return mask
}

func differingPaths(old, said protoreflect.Message, field protoreflect.FieldDescriptor) []string {
	name := string(field.Name())
	switch {
	case inTheWay(old, said, field):
		return []string{name}
	case !said.Has(field), old.Get(field).Equal(said.Get(field)):
		return nil
	case !old.Has(field), !saidInPieces(field):
		return []string{name}
	}
	return within(name, old.Get(field).Message(), said.Get(field).Message())
}

// saidInPieces tells whether a field is a message of which a sheet may say one
// piece and not another. A weight, a price or a day is said as a whole.
func saidInPieces(field protoreflect.FieldDescriptor) bool {
	return isDetail(field) || field.Name() == "size" || field.Name() == "parts"
}

func isDetail(field protoreflect.FieldDescriptor) bool {
	return field.ContainingOneof() != nil && !field.HasOptionalKeyword()
}

// within names the differing fields of a message that is said in pieces. What
// is missing and whether the rest is there are one piece.
func within(name string, old, said protoreflect.Message) []string {
	var paths []string
	said.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		if !old.Get(f).Equal(v) {
			paths = append(paths, name+"."+string(f.Name()))
		}
		return true
	})
	if len(paths) > 0 && name == "parts" {
		return partsPaths(said)
	}
	slices.Sort(paths)
	return paths
}

func partsPaths(said protoreflect.Message) []string {
	var paths []string
	fields := said.Descriptor().Fields()
	has := func(name protoreflect.Name) bool { return said.Has(fields.ByName(name)) }
	if has("on_hand") {
		paths = append(paths, "parts.on_hand")
	}
	if has("missing") || has("rest_complete") {
		paths = append(paths, "parts.missing", "parts.rest_complete")
	}
	return paths
}

// inTheWay tells whether a field is the class or the detail of a kind that the lot
// is no longer of.
func inTheWay(old, said protoreflect.Message, field protoreflect.FieldDescriptor) bool {
	kind := said.Descriptor().Fields().ByName("kind")
	return (isDetail(field) || field.Name() == "class") && old.Has(field) && !said.Has(field) &&
		kind != nil && said.Has(kind) && !old.Get(kind).Equal(said.Get(kind))
}

// unlike names the fields in which two messages differ.
func unlike(a, b proto.Message, fields ...string) *fieldmaskpb.FieldMask {
	mask := new(fieldmaskpb.FieldMask)
	x, y := a.ProtoReflect(), b.ProtoReflect()
	for _, name := range fields {
		field := x.Descriptor().Fields().ByName(protoreflect.Name(name))
		if x.Has(field) != y.Has(field) || !x.Get(field).Equal(y.Get(field)) {
			mask.Paths = append(mask.Paths, name)
		}
	}
	return mask
}

package server

import (
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/fieldmaskpb"
)

// change copies the fields that a mask names from one message to another of the
// same type. A named field that is absent in from is cleared in to. settable
// are the top-level fields that a caller may set.
func change(to, from proto.Message, mask *fieldmaskpb.FieldMask, settable []string) error {
	if len(mask.GetPaths()) == 0 {
		return invalid("update_mask", "is empty: name the fields to change")
	}
	for _, path := range mask.GetPaths() {
		top, _, _ := strings.Cut(path, ".")
		if !slices.Contains(settable, top) {
			return invalid("update_mask", path+" cannot be set; what can: "+strings.Join(settable, ", "))
		}
		if err := changeField(to.ProtoReflect(), from.ProtoReflect(), strings.Split(path, "."), path); err != nil {
			return err
		}
	}
	return nil
}

func changeField(to, from protoreflect.Message, steps []string, path string) error {
	field := to.Descriptor().Fields().ByName(protoreflect.Name(steps[0]))
	if field == nil {
		return invalid("update_mask", path+": there is no field "+steps[0])
	}
	if len(steps) == 1 {
		copyField(to, from, field)
		return nil
	}
	if field.Message() == nil || field.IsList() || field.IsMap() {
		return invalid("update_mask", path+": "+steps[0]+" has no fields of its own")
	}
	if one := field.ContainingOneof(); one != nil && replaces(to, one, field) {
		return invalid("update_mask", path+": the lot has another detail; name "+steps[0]+" as a whole, and kind")
	}
	return changeField(to.Mutable(field).Message(), from.Get(field).Message(), steps[1:], path)
}

func copyField(to, from protoreflect.Message, field protoreflect.FieldDescriptor) {
	if !from.Has(field) {
		to.Clear(field)
		return
	}
	to.Set(field, from.Get(field))
}

// replaces tells whether setting a field would throw out another of its oneof.
func replaces(m protoreflect.Message, one protoreflect.OneofDescriptor, field protoreflect.FieldDescriptor) bool {
	now := m.WhichOneof(one)
	return now != nil && now.Number() != field.Number()
}

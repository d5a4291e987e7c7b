"""Customers, vehicles and dampers of the past as they first came: one act at the counter each, rows written in bulk."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings

from shopapp.calc import units
from shopapp.customers.models import Contact, Customer, MeterReading, Vehicle
from shopapp.customers.services.customers import normalised
from shopapp.customers.services.customers import terms_of as customer_terms
from shopapp.customers.services.vehicles import terms_of as vehicle_terms
from shopapp.dampers.models import Damper, Fitting, Ownership
from shopapp.dampers.services import tags
from shopapp.dampers.services.dampers import terms_of as damper_terms
from shopapp.demo.bulk import Bulk
from shopapp.demo.fleet import Machine, Owner
from shopapp.demo.master import Master
from shopapp.shop.services.search_terms import fold_number

LENGTH, TIME = "distance", "running_time"


@dataclass
class Arrivals:
    """Who and what is in the books; whoever is not, is written when first asked for."""

    bulk: Bulk
    master: Master
    tags: int = 0
    customers: dict[str, Customer] = field(default_factory=dict)
    vehicles: dict[int, Vehicle] = field(default_factory=dict)
    dampers: dict[tuple[int, int], Damper] = field(default_factory=dict)

    def customer(self, owner: Owner, at: datetime) -> Customer:
        """Give the row of a customer."""
        found = self.customers.get(owner.name)
        if found is None:
            row = Customer(kind=owner.kind, name=owner.name, language=settings.LANGUAGE_CODE, made_at=at)
            found = self.customers[owner.name] = self.bulk.add(row)
            for kind, value in (("person", owner.person), ("phone", owner.phone), ("email", owner.email)):
                if value:
                    self.bulk.add(
                        Contact(customer=found, kind=kind, value=value, normalised=normalised(kind, value))
                    )
            self.bulk.find_by("customer", found, customer_terms)
        return found

    def vehicle(self, machine: Machine, customer: Customer) -> Vehicle:
        """Give the row of a vehicle."""
        found = self.vehicles.get(id(machine))
        if found is None:
            row = Vehicle(
                customer=customer, description=machine.description, plate=machine.plate,
                plate_folded=fold_number(machine.plate)[:20], counts_distance=machine.meter != "h",
                counts_hours=machine.meter == "h", hard_use=machine.hard,
            )  # fmt: skip
            found = self.vehicles[id(machine)] = self.bulk.add(row)
            self.bulk.find_by("vehicle", found, vehicle_terms)
        return found

    def damper(self, machine: Machine, number: int, customer: Customer, at: datetime) -> Damper:
        """Give the row of a damper, with its owner and its corner."""
        found = self.dampers.get((id(machine), number))
        if found is None:
            short, serial, place = machine.mounts[number]
            model = self.master.models[short]
            self.tags += 1
            seven = tags.spread(self.tags)
            row = Damper(
                tag=seven + tags.check_digit(seven), maker=model.maker, serial=serial,
                serial_folded=fold_number(serial)[:60], model=model, made_at=at,
            )  # fmt: skip
            found = self.dampers[id(machine), number] = self.bulk.add(row)
            self.bulk.add(Ownership(damper=found, customer=customer, since=at.date()))
            vehicle = self.vehicle(machine, customer)
            self.bulk.add(Fitting(damper=found, vehicle=vehicle, place=place, about=True))
            self.bulk.find_by("damper", found, damper_terms)
        return found

    def meter(
        self,
        vehicle: Vehicle,
        text: str,
        at: datetime,
        act_id: UUID,
        by: Any,
        *,
        kind: str = "reading",
        source: str = "read when the order was received",
    ) -> MeterReading:
        """Write what the meter showed, at the counter or as it was told."""
        row = MeterReading(
            vehicle=vehicle, kind=kind, on=at.date(), source=source, by=by, stored_at=at, act_id=act_id,
        )  # fmt: skip
        if vehicle.counts_hours:
            row.running = units.parse(text, TIME)
        else:
            row.distance = units.parse(text, LENGTH)
        found: MeterReading = self.bulk.add(row)
        return found

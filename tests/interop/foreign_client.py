#!/usr/bin/python3
"""A client that nobody here wrote runs a whole move.

Debian's python3-grpcio finds the API by reflection alone: no generated code of this project is used. It asks for a move, is
refused with details it can read, clears every gate as the right people, gets the release, begins, parks and closes.

    foreign_client.py CHOCKWISED YARD_FOLDER WORK_FOLDER
"""
import csv
import json
import os
import pathlib
import subprocess
import sys
import time
import uuid

import grpc
from google.protobuf import descriptor_pb2, descriptor_pool, message_factory

CALL_SECONDS = 10
RELEASED, UNDER_WAY, PARKED, CLOSED = 2, 3, 6, 7
CLEAR = 4
PARTY_DRIVER, PARTY_SPOTTER, PARTY_YARD_LEAD, PARTY_TECH = 1, 2, 3, 4
PICKED_UP, PUT_DOWN, POST_CODE, NOTE = 1, 2, 3, 4


def reflection_messages(work):
    """Python classes for the reflection service itself, made from the protocol's own published file."""
    proto = "/usr/share/grpc-proto/grpc/reflection/v1alpha/reflection.proto"
    out = work / "reflection"
    out.mkdir(parents=True, exist_ok=True)
    subprocess.run(["protoc", "-I", os.path.dirname(proto), f"--python_out={out}", proto], check=True, timeout=60)
    sys.path.insert(0, str(out))
    import reflection_pb2
    return reflection_pb2


class Api:
    """The services of a server, found by asking it."""

    def __init__(self, channel, reflection):
        self.channel = channel
        self.reflection = reflection
        self.pool = descriptor_pool.DescriptorPool()
        self.services = {}
        call = channel.stream_stream(
            "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo",
            request_serializer=reflection.ServerReflectionRequest.SerializeToString,
            response_deserializer=reflection.ServerReflectionResponse.FromString)
        self.ask = lambda request: next(call(iter([request]), timeout=CALL_SECONDS))
        listed = self.ask(reflection.ServerReflectionRequest(list_services=""))
        self.names = [service.name for service in listed.list_services_response.service]
        for name in self.names:
            if name.startswith("chockwise."):
                self._learn(name)

    def _learn(self, service):
        answer = self.ask(self.reflection.ServerReflectionRequest(file_containing_symbol=service))
        files = {}
        for blob in answer.file_descriptor_response.file_descriptor_proto:
            proto = descriptor_pb2.FileDescriptorProto.FromString(blob)
            files[proto.name] = proto
        self._add(files, list(files))
        descriptor = self.pool.FindServiceByName(service)
        for method in descriptor.methods:
            self.services[method.name] = (f"/{service}/{method.name}", method)

    def _add(self, files, names):
        for name in names:
            try:
                self.pool.FindFileByName(name)
                continue
            except KeyError:
                pass
            if name not in files:
                answer = self.ask(self.reflection.ServerReflectionRequest(file_by_filename=name))
                for blob in answer.file_descriptor_response.file_descriptor_proto:
                    proto = descriptor_pb2.FileDescriptorProto.FromString(blob)
                    files[proto.name] = proto
            self._add(files, list(files[name].dependency))
            self.pool.Add(files[name])

    def message(self, descriptor):
        return message_factory.MessageFactory(self.pool).GetPrototype(descriptor)

    def call(self, token, method, **fields):
        path, descriptor = self.services[method]
        request = self.message(descriptor.input_type)(**fields)
        response = self.message(descriptor.output_type)
        stub = self.channel.unary_unary(path, request_serializer=lambda m: m.SerializeToString(),
                                        response_deserializer=response.FromString)
        metadata = [("authorization", f"Bearer {token}")] if token else []
        return stub(request, metadata=metadata, timeout=CALL_SECONDS)

    def details(self, error):
        """The typed details of a refusal, read by their published layout."""
        envelope = self.message(self.pool.FindMessageTypeByName("chockwise.v1.StatusEnvelope"))
        for key, value in error.trailing_metadata():
            if key == "grpc-status-details-bin":
                status = envelope.FromString(value)
                for detail in status.details:
                    name = detail.type_url.rsplit("/", 1)[1]
                    yield self.message(self.pool.FindMessageTypeByName(name)).FromString(detail.value)


def check(condition, what):
    if not condition:
        raise SystemExit(f"FAILED: {what}")
    print(f"ok: {what}")


def expect_refusal(code, what, call):
    try:
        call()
    except grpc.RpcError as error:
        check(error.code() == code, f"{what}: {error.code().name}")
        return error
    raise SystemExit(f"FAILED: {what}: was not refused")


class Story:
    """One service truck out of its bay, told by the people of the yard."""

    def __init__(self, api, yard_folder, first_token, yard_name):
        self.api, self.yard = api, yard_name
        self.tokens = {"wren": first_token}
        for person in ("tam", "mika", "dov", "ruth"):
            issued = api.call(first_token, "IssueToken", parent=self.yard, request_id=new_id(), person=person)
            self.tokens[person] = issued.secret
        self.codes = {}
        features = json.loads((yard_folder / "map.geojson").read_text())["features"]
        for feature in features:
            self.codes[feature["id"]] = feature["properties"].get("post-code", "")
        self.party = {PARTY_DRIVER: "tam", PARTY_SPOTTER: "mika", PARTY_YARD_LEAD: "dov", PARTY_TECH: "ruth"}

    def do(self, person, method, **fields):
        return self.api.call(self.tokens[person], method, request_id=new_id(), **fields)

    def show(self, name):
        return self.api.call(self.tokens["tam"], "GetMove", name=name)

    def evidence(self, move, gate):
        if gate.evidence == PICKED_UP:
            yard = self.api.call(self.tokens["tam"], "GetYard", name=self.yard)
            machine = next(m for m in yard.machines if m.machine == move.machine)
            given = [w.count for g in move.gates for w in g.words if g.item == gate.item]
            return {"count": machine.put_down.get(gate.item, self.put_down.get(gate.item, given[0] if given else 0))}
        if gate.evidence == PUT_DOWN:
            self.put_down[gate.item] = 2
            return {"count": 2}
        if gate.evidence == POST_CODE:
            return {"post_code": self.codes[move.to_place if move.state == PARKED else move.from_place]}
        if gate.evidence == NOTE:
            return {"note": "nothing"}
        return {}

    def clear_all(self, name):
        """Every word that the phase still wants, from whoever may give it; the second person's word last."""
        for last in (False, True):
            for gate in self.show(name).gates:
                if gate.given_last != last:
                    continue
                wanted = list(gate.missing_parties)[:1] if gate.any_party else list(gate.missing_parties)
                for party in wanted:
                    self.do(self.party[party], "Confirm", name=name, gate_id=gate.gate_id,
                            **self.evidence(self.show(name), gate))

    def run(self):
        self.put_down = {}
        self.do("dov", "BeginShift", name=self.yard, title="day",
                end_time={"seconds": int(time.time()) + 6 * 3600})
        self.do("tam", "RecordInspection", name=f"{self.yard}/machines/ST-101")
        asked = self.do("tam", "RequestMove", parent=self.yard, kind="service-truck-reverses-out", machine="ST-101",
                        to_place="s1-apron", spotter="mika")
        move = asked.name
        error = expect_refusal(grpc.StatusCode.FAILED_PRECONDITION, "a release with open gates",
                               lambda: self.do("tam", "RequestRelease", name=move))
        gates = [gate for detail in self.api.details(error) for gate in detail.gates]
        check(len(gates) > 5 and all(gate.remedy for gate in gates),
              f"the refusal names all {len(gates)} gates, each with its remedy")
        self.do("mika", "AcceptSpotting", name=move, machine="ST-101")
        expect_refusal(grpc.StatusCode.PERMISSION_DENIED, "the driver gives the spotter's word",
                       lambda: self.do("tam", "Confirm", name=move, gate_id="horn-heard"))
        self.clear_all(move)
        released = self.do("tam", "RequestRelease", name=move)
        check(released.move_state == RELEASED, "released")
        check(self.do("tam", "BeginMove", name=move, machine="ST-101").move_state == UNDER_WAY, "under way")
        check(self.do("tam", "ParkMove", name=move).move_state == PARKED, "parked")
        self.clear_all(move)
        check(self.do("tam", "CloseMove", name=move).move_state == CLOSED, "closed")


def new_id():
    return str(uuid.uuid4())


def reliable_readings(source, target):
    """A copy of the yard whose register fits today's date: this test is about the wire, not about old tape readings."""
    target.mkdir(parents=True, exist_ok=True)
    for name in ("map.geojson", "machines.csv", "rules.txtpb"):
        (target / name).write_bytes((source / name).read_bytes())
    yesterday = time.time() - 86400
    later = time.strftime("%Y-12-31", time.gmtime(time.time() + 400 * 86400))
    with (source / "measurements.csv").open(newline="") as read, (target / "measurements.csv").open("w", newline="") as out:
        rows = csv.DictReader(read)
        writer = csv.DictWriter(out, rows.fieldnames)
        writer.writeheader()
        for number, row in enumerate(rows):  # a later row stays a later reading
            when = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(yesterday + number))
            writer.writerow(dict(row, when=when))
    with (source / "people.csv").open(newline="") as read, (target / "people.csv").open("w", newline="") as out:
        rows = csv.DictReader(read)
        writer = csv.DictWriter(out, rows.fieldnames)
        writer.writeheader()
        for row in rows:
            row["may-drive"] = "; ".join(f"{part.split(' until ')[0].strip()} until {later}"
                                         for part in row["may-drive"].split(";") if part.strip())
            row["may-spot-until"] = later if row["may-spot-until"] else ""
            writer.writerow(row)


def main():
    chockwised, yard, work = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
    subprocess.run(["rm", "-rf", "--", str(work)], check=True)
    folder, data, token_file = work / "yard", work / "data", work / "token"
    reliable_readings(yard, folder)
    subprocess.run([chockwised, "--yard", folder, "--data", data, "init", "--as", "wren", "--token-file", token_file],
                   check=True, timeout=60)
    server = subprocess.Popen([chockwised, "--yard", folder, "--data", data, "--listen", "127.0.0.1:0",
                               "--log-level", "warn", "serve"], stdout=subprocess.PIPE, text=True)
    try:
        ready = dict(part.split("=", 1) for part in server.stdout.readline().split() if "=" in part)
        with grpc.insecure_channel(ready["listen"]) as channel:
            api = Api(channel, reflection_messages(work))
            check({"chockwise.v1.MoveService", "grpc.health.v1.Health"} <= set(api.names), "reflection lists the services")
            expect_refusal(grpc.StatusCode.UNAUTHENTICATED, "a caller without a token",
                           lambda: api.call("", "GetYard", name=f"yards/{ready['yard']}"))
            Story(api, folder, token_file.read_text().strip(), f"yards/{ready['yard']}").run()
        server.terminate()
        check(server.wait(timeout=20) == 0, "the server drained and ended")
    finally:
        if server.poll() is None:
            server.kill()
            server.wait()


if __name__ == "__main__":
    main()

PRAGMA application_id = 1298229614;
PRAGMA user_version = 10;
BEGIN TRANSACTION;
CREATE TABLE alternators (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        rated_a FLOAT NOT NULL,
        idle_a FLOAT,
        regulated_v FLOAT NOT NULL,
        vehicle_load_a FLOAT NOT NULL, idle_rpm INTEGER NOT NULL DEFAULT 750, cruise_rpm INTEGER NOT NULL DEFAULT 2200, pulley_ratio FLOAT NOT NULL DEFAULT 2.5, hot BOOLEAN NOT NULL DEFAULT 1,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "alternators" VALUES(1,'g1',0,'Alternator',120.0,NULL,14.2,35.0,750,2200,2.5,1);
INSERT INTO "alternators" VALUES(2,'g1',0,'Alternator',120.0,NULL,14.2,35.0,750,2200,2.5,1);
CREATE TABLE amplifiers (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        channels INTEGER NOT NULL,
        channel_w FLOAT NOT NULL,
        sub_channels INTEGER NOT NULL,
        sub_channel_w FLOAT NOT NULL,
        amplifier_class TEXT NOT NULL,
        efficiency FLOAT,
        regulated BOOLEAN NOT NULL,
        onboard_fuse_a FLOAT,
        idle_a FLOAT NOT NULL,
        lowest_v FLOAT NOT NULL,
        largest_wire VARCHAR,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "amplifiers" VALUES(1,'a1',0,'[/red] =1+1',1,500.0,0,0.0,'D',NULL,1,NULL,1.0,10.0,NULL,'z3');
CREATE TABLE batteries (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        chemistry TEXT NOT NULL,
        capacity_ah FLOAT NOT NULL,
        cranking_a FLOAT,
        resistance_ohm FLOAT,
        stud TEXT NOT NULL,
        zone TEXT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "batteries" VALUES(1,'b1',0,'Starter battery','AGM',70.0,NULL,NULL,'M8','z1');
INSERT INTO "batteries" VALUES(2,'b1',0,'Starter battery','AGM',70.0,NULL,NULL,'M8','z1');
CREATE TABLE blocks (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        kind TEXT NOT NULL,
        places INTEGER NOT NULL,
        largest_in VARCHAR,
        largest_out VARCHAR,
        fused BOOLEAN NOT NULL,
        zone TEXT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
INSERT INTO "blocks" VALUES('d1','Main block','distribution',4,NULL,NULL,1,'z3',1,0);
INSERT INTO "blocks" VALUES('d2','Block 2','distribution',2,NULL,NULL,1,'z3',1,1);
INSERT INTO "blocks" VALUES('d1','Main block','distribution',4,NULL,NULL,1,'z3',2,0);
CREATE TABLE build (
        key INTEGER NOT NULL,
        revision INTEGER NOT NULL,
        title TEXT NOT NULL,
        customer TEXT NOT NULL,
        vehicle TEXT NOT NULL,
        notes TEXT NOT NULL,
        state TEXT NOT NULL,
        units TEXT NOT NULL,
        wire_sizes TEXT NOT NULL,
        programme TEXT NOT NULL,
        drop_limit_v FLOAT NOT NULL,
        stops INTEGER,
        archived BOOLEAN NOT NULL,
        created TEXT NOT NULL,
        changed TEXT NOT NULL, finish TEXT NOT NULL DEFAULT 'clean', labour_price FLOAT NOT NULL DEFAULT 0, markup_ratio FLOAT NOT NULL DEFAULT 1, tax_percent FLOAT NOT NULL DEFAULT 0, currency TEXT NOT NULL DEFAULT '', cutting TEXT NOT NULL DEFAULT 'saw', kerf_m FLOAT,
        PRIMARY KEY (key)
    );
INSERT INTO "build" VALUES(1,9,'Landed','','Estate','','planned','inch','AWG','music',1.0,NULL,0,'2026-11-26T06:30:09.162+00:00','2026-11-26T06:30:09.572+00:00','clean',0.0,1.0,0.0,'','saw',NULL);
INSERT INTO "build" VALUES(2,0,'Other','','','','planned','inch','AWG','music',1.0,NULL,0,'2026-11-26T06:30:09.596+00:00','2026-11-26T06:30:09.596+00:00','clean',0.0,1.0,0.0,'','saw',NULL);
CREATE TABLE catalogue (
        id INTEGER NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        "group" TEXT NOT NULL,
        item_rule TEXT NOT NULL,
        size_rule TEXT NOT NULL,
        pack FLOAT NOT NULL,
        unit TEXT NOT NULL,
        price TEXT,
        on_shelf FLOAT NOT NULL,
        supplier TEXT NOT NULL,
        PRIMARY KEY (id)
    );
INSERT INTO "catalogue" VALUES(1,1,'Ferrules','Wire','','',1.0,'each','0.1005',7.5,'');
INSERT INTO "catalogue" VALUES(4,0,'🔊 低音 2','Wire','','',1.0,'each','0.1005',0.0,'');
CREATE TABLE curves (
        id TEXT NOT NULL,
        family TEXT NOT NULL,
        rating_a FLOAT,
        current_ratio FLOAT NOT NULL,
        fastest_s FLOAT,
        slowest_s FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
CREATE TABLE footprints (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        device TEXT NOT NULL,
        mass_kg FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        height_m FLOAT NOT NULL,
        foot_m FLOAT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
INSERT INTO "footprints" VALUES('f1','Feet','',2.5,0.1,0.1,0.05,0.003,1,0);
CREATE TABLE grounds (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        surface TEXT NOT NULL,
        stud TEXT NOT NULL,
        resistance_ohm FLOAT,
        zone TEXT NOT NULL, signal BOOLEAN NOT NULL DEFAULT 0,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "grounds" VALUES(1,'e1',0,'Battery ground','plated stud','M8',NULL,'z1',0);
INSERT INTO "grounds" VALUES(1,'e2',1,'Boot ground','bare metal','M8',NULL,'z3',0);
INSERT INTO "grounds" VALUES(2,'e1',0,'Battery ground','plated stud','M8',NULL,'z1',0);
INSERT INTO "grounds" VALUES(2,'e2',1,'Boot ground','bare metal','M8',NULL,'z3',0);
CREATE TABLE holes (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        panel TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        diameter_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL, shape TEXT NOT NULL DEFAULT 'round', across_m FLOAT, turn_deg FLOAT NOT NULL DEFAULT 0,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
CREATE TABLE journal (
        build_key INTEGER NOT NULL,
        revision INTEGER NOT NULL,
        kind TEXT NOT NULL,
        target INTEGER,
        edit TEXT NOT NULL,
        inverse TEXT NOT NULL,
        label TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (build_key, revision),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "journal" VALUES(1,0,'start',NULL,'{"header":{"title":"Landed","customer":"","vehicle":"","notes":"","state":"planned","units":"inch","wire_sizes":"AWG","programme":"music","drop_limit_v":1.0,"finish":"clean","labour_price":0.0,"markup_ratio":1.0,"tax_percent":0.0,"currency":"","cutting":"saw","kerf_m":null},"zones":[{"id":"z1","name":"Engine bay","ambient_c":60.0},{"id":"z2","name":"Cabin floor","ambient_c":50.0},{"id":"z3","name":"Boot","ambient_c":50.0}],"batteries":[{"id":"b1","name":"Starter battery","chemistry":"AGM","capacity_ah":70.0,"cranking_a":null,"resistance_ohm":null,"stud":"M8","zone":"z1"}],"alternators":[{"id":"g1","name":"Alternator","rated_a":120.0,"idle_a":null,"idle_rpm":750,"cruise_rpm":2200,"pulley_ratio":2.5,"hot":true,"regulated_v":14.2,"vehicle_load_a":35.0}],"amplifiers":[],"blocks":[{"id":"d1","name":"Main block","kind":"distribution","places":4,"largest_in":null,"largest_out":null,"fused":true,"zone":"z3"}],"grounds":[{"id":"e1","name":"Battery ground","surface":"plated stud","stud":"M8","resistance_ohm":null,"signal":false,"zone":"z1"},{"id":"e2","name":"Boot ground","surface":"bare metal","stud":"M8","resistance_ohm":null,"signal":false,"zone":"z3"}],"runs":[{"id":"r1","name":"Charge cable","polarity":"positive","source":"g1","target":"b1","length_m":1.524,"slack_m":null,"zone":"z1","gauge":"AWG 4","metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":true},{"id":"r2","name":"Engine strap","polarity":"ground","source":"g1","target":"e1","length_m":0.4572,"slack_m":null,"zone":"z1","gauge":"AWG 4","metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":true},{"id":"r3","name":"Battery ground cable","polarity":"ground","source":"b1","target":"e1","length_m":0.4064,"slack_m":null,"zone":"z1","gauge":"AWG 2","metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":true},{"id":"r4","name":"Main run","polarity":"positive","source":"b1","target":"d1","length_m":null,"slack_m":null,"zone":"z1","gauge":null,"metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":true,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":false}],"parts":[],"panels":[],"holes":[],"footprints":[],"studs":[],"mounts":[],"curves":[],"legs":[{"id":"l1","name":"Warm up","engine":"idle","playing":"programme","duration_s":300.0},{"id":"l2","name":"Drive","engine":"cruise","playing":"programme","duration_s":1800.0},{"id":"l3","name":"Park and play","engine":"off","playing":"programme","duration_s":1200.0}],"spots":[],"readings":[],"stock":[]}','','created','2026-11-26T06:30:09.206+00:00');
INSERT INTO "journal" VALUES(1,1,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"amplifiers","record":{"id":"a1","name":"Amp 1","channels":1,"channel_w":500.0,"sub_channels":0,"sub_channel_w":0.0,"amplifier_class":"D","efficiency":null,"regulated":true,"onboard_fuse_a":null,"idle_a":1.0,"lowest_v":10.0,"largest_wire":null,"zone":"z3"},"index":-1},{"kind":"add","table":"runs","record":{"id":"r5","name":"","polarity":"positive","source":"d1","target":"a1","length_m":null,"slack_m":null,"zone":"z3","gauge":null,"metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":true,"fuse_a":null,"fuse_family":null,"fuse_distance_m":0.0,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":false},"index":-1},{"kind":"add","table":"runs","record":{"id":"r6","name":"","polarity":"ground","source":"a1","target":"e2","length_m":null,"slack_m":null,"zone":"z3","gauge":null,"metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":false},"index":-1}],"label":"add Amp 1"}','{"kind":"batch","edits":[{"kind":"remove","table":"runs","id":"r6"},{"kind":"remove","table":"runs","id":"r5"},{"kind":"remove","table":"amplifiers","id":"a1"}],"label":"add Amp 1"}','add Amp 1','2026-11-26T06:30:09.309+00:00');
INSERT INTO "journal" VALUES(1,2,'do',NULL,'{"kind":"set","table":"amplifiers","id":"a1","field":"name","value":"[/red] =1+1"}','{"kind":"set","table":"amplifiers","id":"a1","field":"name","value":"Amp 1"}','set name of a1','2026-11-26T06:30:09.356+00:00');
INSERT INTO "journal" VALUES(1,3,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"blocks","record":{"id":"d2","name":"Block 2","kind":"distribution","places":2,"largest_in":null,"largest_out":null,"fused":true,"zone":"z3"},"index":-1}],"label":"add to blocks"}','{"kind":"batch","edits":[{"kind":"remove","table":"blocks","id":"d2"}],"label":"add to blocks"}','add to blocks','2026-11-26T06:30:09.389+00:00');
INSERT INTO "journal" VALUES(1,4,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"parts","record":{"id":"p1","name":"Plate","material":"ABS","thickness_m":0.00635,"carries":"","load_kg":0.0,"quantity":1,"corner_m":0.0,"cutter_m":null,"edge_m":0.0,"place":"body","shock_ratio":5.0,"box_length_m":null,"box_width_m":null,"box_height_m":null,"zone":""},"index":-1},{"kind":"add","table":"panels","record":{"id":"n1","part":"p1","name":"Base","joins":"","edge":"far","up":true,"offset_m":0.0,"length_m":0.1,"width_m":0.05,"bend_deg":90.0,"bend_radius_m":0.00635,"score_m":null},"index":-1}],"label":"add Plate"}','{"kind":"batch","edits":[{"kind":"remove","table":"panels","id":"n1"},{"kind":"remove","table":"parts","id":"p1"}],"label":"add Plate"}','add Plate','2026-11-26T06:30:09.420+00:00');
INSERT INTO "journal" VALUES(1,5,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"footprints","record":{"id":"f1","name":"Feet","device":"","mass_kg":2.5,"length_m":0.1,"width_m":0.1,"height_m":0.05,"foot_m":0.003},"index":-1}],"label":"add to footprints"}','{"kind":"batch","edits":[{"kind":"remove","table":"footprints","id":"f1"}],"label":"add to footprints"}','add to footprints','2026-11-26T06:30:09.472+00:00');
INSERT INTO "journal" VALUES(1,6,'do',NULL,'{"kind":"set","table":"runs","id":"r1","field":"length_m","value":4.88}','{"kind":"set","table":"runs","id":"r1","field":"length_m","value":1.524}','set length_m of r1','2026-11-26T06:30:09.512+00:00');
INSERT INTO "journal" VALUES(1,7,'do',NULL,'{"kind":"set","table":"header","id":"","field":"vehicle","value":"Estate"}','{"kind":"set","table":"header","id":"","field":"vehicle","value":""}','set vehicle of header','2026-11-26T06:30:09.522+00:00');
INSERT INTO "journal" VALUES(1,8,'do',NULL,'{"kind":"move","table":"runs","id":"r1","index":1}','{"kind":"move","table":"runs","id":"r1","index":0}','move r1 in runs','2026-11-26T06:30:09.555+00:00');
INSERT INTO "journal" VALUES(1,9,'undo',8,'{"kind":"move","table":"runs","id":"r1","index":0}','{"kind":"move","table":"runs","id":"r1","index":1}','move r1 in runs','2026-11-26T06:30:09.580+00:00');
INSERT INTO "journal" VALUES(2,0,'start',NULL,'{"header":{"title":"Other","customer":"","vehicle":"","notes":"","state":"planned","units":"inch","wire_sizes":"AWG","programme":"music","drop_limit_v":1.0,"finish":"clean","labour_price":0.0,"markup_ratio":1.0,"tax_percent":0.0,"currency":"","cutting":"saw","kerf_m":null},"zones":[{"id":"z1","name":"Engine bay","ambient_c":60.0},{"id":"z2","name":"Cabin floor","ambient_c":50.0},{"id":"z3","name":"Boot","ambient_c":50.0}],"batteries":[{"id":"b1","name":"Starter battery","chemistry":"AGM","capacity_ah":70.0,"cranking_a":null,"resistance_ohm":null,"stud":"M8","zone":"z1"}],"alternators":[{"id":"g1","name":"Alternator","rated_a":120.0,"idle_a":null,"idle_rpm":750,"cruise_rpm":2200,"pulley_ratio":2.5,"hot":true,"regulated_v":14.2,"vehicle_load_a":35.0}],"amplifiers":[],"blocks":[{"id":"d1","name":"Main block","kind":"distribution","places":4,"largest_in":null,"largest_out":null,"fused":true,"zone":"z3"}],"grounds":[{"id":"e1","name":"Battery ground","surface":"plated stud","stud":"M8","resistance_ohm":null,"signal":false,"zone":"z1"},{"id":"e2","name":"Boot ground","surface":"bare metal","stud":"M8","resistance_ohm":null,"signal":false,"zone":"z3"}],"runs":[{"id":"r1","name":"Charge cable","polarity":"positive","source":"g1","target":"b1","length_m":1.524,"slack_m":null,"zone":"z1","gauge":"AWG 4","metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":true},{"id":"r2","name":"Engine strap","polarity":"ground","source":"g1","target":"e1","length_m":0.4572,"slack_m":null,"zone":"z1","gauge":"AWG 4","metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":true},{"id":"r3","name":"Battery ground cable","polarity":"ground","source":"b1","target":"e1","length_m":0.4064,"slack_m":null,"zone":"z1","gauge":"AWG 2","metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":false,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":true},{"id":"r4","name":"Main run","polarity":"positive","source":"b1","target":"d1","length_m":null,"slack_m":null,"zone":"z1","gauge":null,"metal":"copper","insulation":"105 C","colour":"","strands":null,"strand_m":null,"loom":"","bundle":null,"fused":true,"fuse_a":null,"fuse_family":null,"fuse_distance_m":null,"far_fused":false,"far_fuse_distance_m":null,"near_end":null,"far_end":null,"existing":false}],"parts":[],"panels":[],"holes":[],"footprints":[],"studs":[],"mounts":[],"curves":[],"legs":[{"id":"l1","name":"Warm up","engine":"idle","playing":"programme","duration_s":300.0},{"id":"l2","name":"Drive","engine":"cruise","playing":"programme","duration_s":1800.0},{"id":"l3","name":"Park and play","engine":"off","playing":"programme","duration_s":1200.0}],"spots":[],"readings":[],"stock":[]}','','created','2026-11-26T06:30:09.598+00:00');
CREATE TABLE labour_time (
        name TEXT NOT NULL,
        value FLOAT NOT NULL,
        PRIMARY KEY (name)
    );
INSERT INTO "labour_time" VALUES('amplifier',60.0);
CREATE TABLE legs (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        engine TEXT NOT NULL,
        playing TEXT NOT NULL,
        duration_s FLOAT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
INSERT INTO "legs" VALUES('l1','Warm up','idle','programme',300.0,1,0);
INSERT INTO "legs" VALUES('l2','Drive','cruise','programme',1800.0,1,1);
INSERT INTO "legs" VALUES('l3','Park and play','off','programme',1200.0,1,2);
INSERT INTO "legs" VALUES('l1','Warm up','idle','programme',300.0,2,0);
INSERT INTO "legs" VALUES('l2','Drive','cruise','programme',1800.0,2,1);
INSERT INTO "legs" VALUES('l3','Park and play','off','programme',1200.0,2,2);
CREATE TABLE migration (
        name TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (name)
    );
INSERT INTO "migration" VALUES('m0001_start','2026-11-26T06:30:02.091+00:00');
INSERT INTO "migration" VALUES('m0002_study','2026-11-26T06:30:02.135+00:00');
INSERT INTO "migration" VALUES('m0003_parts','2026-11-26T06:30:02.197+00:00');
INSERT INTO "migration" VALUES('m0004_quote','2026-11-26T06:30:02.217+00:00');
INSERT INTO "migration" VALUES('m0005_catalogue','2026-11-26T06:30:02.239+00:00');
INSERT INTO "migration" VALUES('m0006_looms','2026-11-26T06:30:02.283+00:00');
INSERT INTO "migration" VALUES('m0007_shop','2026-11-26T06:30:02.300+00:00');
INSERT INTO "migration" VALUES('m0008_cutting','2026-11-26T06:30:02.309+00:00');
INSERT INTO "migration" VALUES('m0009_blocks','2026-11-26T06:30:02.323+00:00');
INSERT INTO "migration" VALUES('m0010_added_blocks','2026-11-26T06:30:02.337+00:00');
CREATE TABLE mounts (
        id TEXT NOT NULL,
        footprint TEXT NOT NULL,
        panel TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        turn_deg FLOAT NOT NULL,
        mirrored BOOLEAN NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
CREATE TABLE panels (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        part TEXT NOT NULL,
        name TEXT NOT NULL,
        joins TEXT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        bend_deg FLOAT NOT NULL,
        bend_radius_m FLOAT NOT NULL, edge TEXT NOT NULL DEFAULT 'far', up BOOLEAN NOT NULL DEFAULT 1, offset_m FLOAT NOT NULL DEFAULT 0, score_m FLOAT,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "panels" VALUES(1,'n1',0,'p1','Base','',0.1,0.05,90.0,0.00635,'far',1,0.0,NULL);
CREATE TABLE parts (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        material TEXT NOT NULL,
        thickness_m FLOAT NOT NULL,
        carries TEXT NOT NULL,
        load_kg FLOAT NOT NULL,
        quantity INTEGER NOT NULL,
        zone TEXT NOT NULL, corner_m FLOAT NOT NULL DEFAULT 0, cutter_m FLOAT, edge_m FLOAT NOT NULL DEFAULT 0, place TEXT NOT NULL DEFAULT 'body', shock_ratio FLOAT NOT NULL DEFAULT 5, box_length_m FLOAT, box_width_m FLOAT, box_height_m FLOAT,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "parts" VALUES(1,'p1',0,'Plate','ABS',0.00635,'',0.0,1,'',0.0,NULL,0.0,'body',5.0,NULL,NULL,NULL);
CREATE TABLE readings (
        id TEXT NOT NULL,
        at TEXT NOT NULL,
        meter TEXT NOT NULL,
        mode TEXT NOT NULL,
        value_v FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
CREATE TABLE "runs" (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        polarity TEXT NOT NULL,
        source TEXT NOT NULL,
        target TEXT NOT NULL,
        length_m FLOAT,
        slack_m FLOAT,
        zone TEXT NOT NULL,
        gauge VARCHAR,
        metal TEXT NOT NULL,
        insulation TEXT NOT NULL,
        colour TEXT NOT NULL,
        strands INTEGER,
        strand_m FLOAT,
        loom TEXT NOT NULL,
        bundle INTEGER,
        fused BOOLEAN NOT NULL,
        fuse_a FLOAT,
        fuse_family TEXT,
        fuse_distance_m FLOAT,
        far_fused BOOLEAN NOT NULL,
        far_fuse_distance_m FLOAT,
        near_end TEXT,
        far_end TEXT,
        existing BOOLEAN NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "runs" VALUES(1,'r1',0,'Charge cable','positive','g1','b1',4.88,NULL,'z1','AWG 4','copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,1);
INSERT INTO "runs" VALUES(1,'r2',1,'Engine strap','ground','g1','e1',0.4572,NULL,'z1','AWG 4','copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,1);
INSERT INTO "runs" VALUES(1,'r3',2,'Battery ground cable','ground','b1','e1',0.4064,NULL,'z1','AWG 2','copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,1);
INSERT INTO "runs" VALUES(1,'r4',3,'Main run','positive','b1','d1',NULL,NULL,'z1',NULL,'copper','105 C','',NULL,NULL,'',NULL,1,NULL,NULL,NULL,0,NULL,NULL,NULL,0);
INSERT INTO "runs" VALUES(1,'r5',4,'','positive','d1','a1',NULL,NULL,'z3',NULL,'copper','105 C','',NULL,NULL,'',NULL,1,NULL,NULL,0.0,0,NULL,NULL,NULL,0);
INSERT INTO "runs" VALUES(1,'r6',5,'','ground','a1','e2',NULL,NULL,'z3',NULL,'copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,0);
INSERT INTO "runs" VALUES(2,'r1',0,'Charge cable','positive','g1','b1',1.524,NULL,'z1','AWG 4','copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,1);
INSERT INTO "runs" VALUES(2,'r2',1,'Engine strap','ground','g1','e1',0.4572,NULL,'z1','AWG 4','copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,1);
INSERT INTO "runs" VALUES(2,'r3',2,'Battery ground cable','ground','b1','e1',0.4064,NULL,'z1','AWG 2','copper','105 C','',NULL,NULL,'',NULL,0,NULL,NULL,NULL,0,NULL,NULL,NULL,1);
INSERT INTO "runs" VALUES(2,'r4',3,'Main run','positive','b1','d1',NULL,NULL,'z1',NULL,'copper','105 C','',NULL,NULL,'',NULL,1,NULL,NULL,NULL,0,NULL,NULL,NULL,0);
CREATE TABLE shop_footprint (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        device TEXT NOT NULL,
        mass_kg FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        width_m FLOAT NOT NULL,
        height_m FLOAT NOT NULL,
        foot_m FLOAT NOT NULL,
        PRIMARY KEY (id)
    );
INSERT INTO "shop_footprint" VALUES('f1',0,'Small amplifier','',3.0,0.1,0.1,0.05,0.003);
CREATE TABLE shop_journal (
        revision INTEGER NOT NULL,
        kind TEXT NOT NULL,
        target INTEGER,
        edit TEXT NOT NULL,
        inverse TEXT NOT NULL,
        label TEXT NOT NULL,
        at TEXT NOT NULL,
        PRIMARY KEY (revision)
    );
INSERT INTO "shop_journal" VALUES(1,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"items","record":{"group":"Wire","name":"Ferrules","price":"0.1005","id":1},"index":-1}],"label":"add Ferrules"}','{"kind":"batch","edits":[{"kind":"remove","table":"items","id":"1"}],"label":"add Ferrules"}','add Ferrules','2026-11-26T06:30:09.667+00:00');
INSERT INTO "shop_journal" VALUES(2,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"items","record":{"group":"Wire","name":"=1+1","price":"0.1005","id":2},"index":-1}],"label":"add =1+1"}','{"kind":"batch","edits":[{"kind":"remove","table":"items","id":"2"}],"label":"add =1+1"}','add =1+1','2026-11-26T06:30:09.717+00:00');
INSERT INTO "shop_journal" VALUES(3,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"items","record":{"group":"Wire","name":"\ud83d\udd0a \u4f4e\u97f3","price":"0.1005","id":3},"index":-1}],"label":"add \ud83d\udd0a \u4f4e\u97f3"}','{"kind":"batch","edits":[{"kind":"remove","table":"items","id":"3"}],"label":"add \ud83d\udd0a \u4f4e\u97f3"}','add 🔊 低音','2026-11-26T06:30:09.729+00:00');
INSERT INTO "shop_journal" VALUES(4,'do',NULL,'{"kind":"set","table":"items","id":"2","field":"price","value":"12.50"}','{"kind":"set","table":"items","id":"2","field":"price","value":"0.1005"}','set price of 2','2026-11-26T06:30:09.745+00:00');
INSERT INTO "shop_journal" VALUES(5,'do',NULL,'{"kind":"set","table":"items","id":"1","field":"on_shelf","value":7.5}','{"kind":"set","table":"items","id":"1","field":"on_shelf","value":0.0}','set on_shelf of 1','2026-11-26T06:30:09.777+00:00');
INSERT INTO "shop_journal" VALUES(6,'do',NULL,'{"kind":"move","table":"items","id":"1","index":2}','{"kind":"move","table":"items","id":"1","index":0}','move 1 in items','2026-11-26T06:30:09.781+00:00');
INSERT INTO "shop_journal" VALUES(7,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"items","record":{"group":"Wire","id":4,"name":"\ud83d\udd0a \u4f4e\u97f3 2","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"0.1005","supplier":""},"index":2}],"label":"add \ud83d\udd0a \u4f4e\u97f3 2"}','{"kind":"batch","edits":[{"kind":"remove","table":"items","id":"4"}],"label":"add \ud83d\udd0a \u4f4e\u97f3 2"}','add 🔊 低音 2','2026-11-26T06:30:09.802+00:00');
INSERT INTO "shop_journal" VALUES(8,'do',NULL,'{"kind":"remove","table":"items","id":"2"}','{"kind":"add","table":"items","record":{"id":2,"name":"=1+1","group":"Wire","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"12.50","on_shelf":0.0,"supplier":""},"index":0}','remove 2 from items','2026-11-26T06:30:09.809+00:00');
INSERT INTO "shop_journal" VALUES(9,'do',NULL,'{"kind":"set","table":"times","id":"fuse","field":"value","value":7}','{"kind":"set","table":"times","id":"fuse","field":"value","value":null}','set value of fuse','2026-11-26T06:30:09.829+00:00');
INSERT INTO "shop_journal" VALUES(10,'do',NULL,'{"kind":"replace","tables":{"times":[{"name":"amplifier","value":60},{"name":"part","value":20.5}]},"label":"replace the times"}','{"kind":"replace","tables":{"times":[{"name":"fuse","value":7.0}]},"label":"replace the times"}','replace the times','2026-11-26T06:30:09.869+00:00');
INSERT INTO "shop_journal" VALUES(11,'do',NULL,'{"kind":"set","table":"times","id":"part","field":"value","value":null}','{"kind":"set","table":"times","id":"part","field":"value","value":20.5}','set value of part','2026-11-26T06:30:09.886+00:00');
INSERT INTO "shop_journal" VALUES(12,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"footprints","record":{"id":"f1","name":"Small amplifier","device":"","mass_kg":2.5,"length_m":0.1,"width_m":0.1,"height_m":0.05,"foot_m":0.003},"index":-1}],"label":"add to footprints"}','{"kind":"batch","edits":[{"kind":"remove","table":"footprints","id":"f1"}],"label":"add to footprints"}','add to footprints','2026-11-26T06:30:09.899+00:00');
INSERT INTO "shop_journal" VALUES(13,'do',NULL,'{"kind":"batch","edits":[{"kind":"add","table":"studs","record":{"id":"u1","footprint":"f1","x_m":0.01,"y_m":0.02,"kind":"clearance","thread":"M4","screw_m":null},"index":-1}],"label":"add to studs"}','{"kind":"batch","edits":[{"kind":"remove","table":"studs","id":"u1"}],"label":"add to studs"}','add to studs','2026-11-26T06:30:09.937+00:00');
INSERT INTO "shop_journal" VALUES(14,'do',NULL,'{"kind":"replace","tables":{"items":[{"id":4,"name":"\ud83d\udd0a \u4f4e\u97f3 2","group":"Wire","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"0.1005","on_shelf":0.0,"supplier":""},{"id":1,"name":"Ferrules","group":"Wire","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"0.1005","on_shelf":7.5,"supplier":""}]},"label":"replace the items"}','{"kind":"replace","tables":{"items":[{"id":3,"name":"\ud83d\udd0a \u4f4e\u97f3","group":"Wire","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"0.1005","on_shelf":0.0,"supplier":""},{"id":4,"name":"\ud83d\udd0a \u4f4e\u97f3 2","group":"Wire","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"0.1005","on_shelf":0.0,"supplier":""},{"id":1,"name":"Ferrules","group":"Wire","item_rule":"","size_rule":"","pack":1.0,"unit":"each","price":"0.1005","on_shelf":7.5,"supplier":""}]},"label":"replace the items"}','replace the items','2026-11-26T06:30:09.963+00:00');
INSERT INTO "shop_journal" VALUES(15,'do',NULL,'{"kind":"set","table":"footprints","id":"f1","field":"mass_kg","value":3}','{"kind":"set","table":"footprints","id":"f1","field":"mass_kg","value":2.5}','set mass_kg of f1','2026-11-26T06:30:09.983+00:00');
CREATE TABLE shop_stud (
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        footprint TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL,
        screw_m FLOAT,
        PRIMARY KEY (id)
    );
INSERT INTO "shop_stud" VALUES('u1',0,'f1',0.01,0.02,'clearance','M4',NULL);
CREATE TABLE spots (
        id TEXT NOT NULL,
        name TEXT NOT NULL,
        run TEXT NOT NULL,
        feed_m FLOAT NOT NULL,
        onward_m FLOAT,
        zone TEXT NOT NULL,
        reach TEXT NOT NULL,
        hazard TEXT NOT NULL,
        blocks BOOLEAN NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
CREATE TABLE stock (
        id TEXT NOT NULL,
        material TEXT NOT NULL,
        thickness_m FLOAT,
        width_m FLOAT NOT NULL,
        length_m FLOAT NOT NULL,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
CREATE TABLE studs (
        id TEXT NOT NULL,
        footprint TEXT NOT NULL,
        x_m FLOAT NOT NULL,
        y_m FLOAT NOT NULL,
        kind TEXT NOT NULL,
        thread TEXT NOT NULL,
        screw_m FLOAT,
        build_key INTEGER NOT NULL,
        position INTEGER NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY(build_key) REFERENCES build ("key") ON DELETE CASCADE
    );
CREATE TABLE zones (
        build_key INTEGER NOT NULL,
        id TEXT NOT NULL,
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        ambient_c FLOAT NOT NULL,
        PRIMARY KEY (build_key, id),
        FOREIGN KEY (build_key) REFERENCES build (key) ON DELETE CASCADE
    );
INSERT INTO "zones" VALUES(1,'z1',0,'Engine bay',60.0);
INSERT INTO "zones" VALUES(1,'z2',1,'Cabin floor',50.0);
INSERT INTO "zones" VALUES(1,'z3',2,'Boot',50.0);
INSERT INTO "zones" VALUES(2,'z1',0,'Engine bay',60.0);
INSERT INTO "zones" VALUES(2,'z2',1,'Cabin floor',50.0);
INSERT INTO "zones" VALUES(2,'z3',2,'Boot',50.0);
COMMIT;
